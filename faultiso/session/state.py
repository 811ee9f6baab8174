"""The state of a session: what is known at one line of its log."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from faultiso.belief.evidence import Reading
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline
from faultiso.session.course import Course, begun
from faultiso.session.proving import ProofPlan

Phase = Literal["seen", "reports", "others", "now", "work", "ended"]


@dataclass(frozen=True)
class Pick:
    """What is about to be done. Until ``ready`` its cautions stand before it: names, with the conditions."""

    what: str
    name: str
    settings: Mapping[str, str] = field(default_factory=dict)
    ready: bool = True
    cautions: frozenset[tuple[str, tuple[tuple[str, str], ...]]] = frozenset()
    named: bool = False  # whether its hazards were named by the person


@dataclass(frozen=True)
class Deed:
    """One line of what was done: ``readings`` is how many readings there were before it and after it."""

    what: str
    name: str
    minutes: float
    line: int
    answer: str = ""
    readings: tuple[int, int] = (0, 0)
    timeline: Timeline | None = None


@dataclass(frozen=True)
class Repaired:
    """A repair made; ``proof`` is "" until it was verified, then "passed" or "failed"."""

    name: str
    reference: str = ""
    proof: Literal["", "passed", "failed", "not known"] = ""
    inspected: Literal["", "yes", "not yet"] = ""
    plan: ProofPlan | None = None


@dataclass(frozen=True)
class Stated:
    """What the person believed: component or fault -> per cent; ``deeds``: how much was done by then."""

    says: Mapping[str, float]
    before: str
    deeds: int
    line: int


@dataclass(frozen=True)
class Named:
    """The hazards named before a step, out of those offered; ``cautions``: those that belong to it.

    ``what`` and ``name`` are those of the deed that it was to be.
    """

    what: str
    name: str
    deeds: int
    named: tuple[str, ...]
    offered: tuple[str, ...]
    cautions: tuple[str, ...]
    line: int


@dataclass(frozen=True)
class Dispute:
    """A reading that the person disputes, by the line that it stands in."""

    reading: int
    sign: str
    text: str
    line: int


@dataclass(frozen=True)
class End:
    """How the session ended, and what it says."""

    how: str
    what: str
    left_open: tuple[str, ...] = ()
    line: str = ""  # of the deferral sheet


@dataclass(frozen=True)
class State:
    """Everything that is known at one line of a log."""

    model: Model
    began: Mapping[str, Any] = field(default_factory=dict)
    phase: Phase = "seen"
    course: Course = field(default_factory=lambda: begun({}))
    differs: Mapping[str, str] = field(default_factory=dict)
    situations: tuple[str, ...] = ()  # of each moment before the present one, "" if it has no name
    readings: tuple[Reading, ...] = ()
    typed: tuple[str, ...] = ()  # what was answered, in words, beside each reading
    not_known: frozenset[str] = frozenset()
    others: str = ""
    reports: int = 0  # readings that belong to the complaint
    named: int = 0  # of these, the ones that were reported one by one
    pick: Pick | None = None
    proving: tuple[str, ...] = ()  # signs still to be read to prove the last repair
    told: frozenset[tuple[str, tuple[tuple[str, str], ...]]] = frozenset()
    deeds: tuple[Deed, ...] = ()
    repairs: tuple[Repaired, ...] = ()
    references: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    beliefs: tuple[Stated, ...] = ()
    hazards: tuple[Named, ...] = ()
    hints: int = 0
    disputes: tuple[Dispute, ...] = ()
    end: End | None = None

    @property
    def practises(self) -> bool:
        """Whether a hidden world answers, not the person."""
        return self.began.get("kind") == "practice"

    @property
    def minutes(self) -> float:
        return self.course.minutes

    @property
    def complaint(self) -> Mapping[str, str]:
        """The conditions in which the complaint was seen."""
        return self.course.timeline.moments[0].conditions

    @property
    def reported(self) -> tuple[Reading, ...]:
        return self.readings[: self.reports]

    @property
    def last_repair(self) -> Repaired | None:
        return self.repairs[-1] if self.repairs else None

    @property
    def unrestored(self) -> dict[str, str]:
        """Conditions that must be back at their start and are not, with the value they have."""
        if self.phase not in ("work", "ended"):
            return {}
        now = self.course.conditions
        return {
            c.name: now[c.name]
            for c in self.model.conditions.values()
            if c.must_restore and now[c.name] != c.start
        }
