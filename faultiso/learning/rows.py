"""What one closed work order says: what was seen and checked, in which conditions, and what was found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from faultiso.belief.evidence import Reading
from faultiso.network.timeline import Timeline

#: "proved": exactly these were wrong; "weak": changed, and the test was good; "none": nothing was found
Words = Literal["", "proved", "weak", "none"]


@dataclass(frozen=True)
class Finding:
    """What was found, by faults and by units; "" where the order does not say."""

    words: Words = ""
    faults: tuple[str, ...] = ()
    units: tuple[str, ...] = ()


NOT_SAID = Finding()


@dataclass(frozen=True)
class Row:
    """Readings at the moments of a timeline; the same in two orders, the same row.

    ``complained``: something was amiss; else it was an inspection.
    """

    timeline: Timeline
    readings: tuple[Reading, ...]
    finding: Finding = NOT_SAID
    complained: bool = True


@dataclass(frozen=True)
class Counted:
    """Equal rows: how many, and the lines of the file on which they stand (the first ones)."""

    row: Row
    times: int
    lines: tuple[int, ...] = ()


@dataclass(frozen=True)
class Evidence:
    """Everything that is learnt from: rows, and fleet hours in which they came together."""

    rows: tuple[Counted, ...]
    hours: float

    @property
    def times(self) -> int:
        return sum(counted.times for counted in self.rows)
