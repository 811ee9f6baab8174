"""What stands before an action besides its own minutes: setups that stay, and how things have to stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Setup:
    """Something that is done once and stays: an access opened, equipment fetched."""

    name: str
    title: str
    minutes: float


@dataclass(frozen=True)
class Handling:
    """What an action asks for. ``setups`` as bits; ``begins``: the stands in which it can be made (none: in
    any); ``ends``: the stand in which it leaves things (None: as it was made)."""

    setups: int = 0
    begins: tuple[int, ...] = ()
    ends: int | None = None


AT_HAND = Handling()


@dataclass(frozen=True, eq=False)
class Site:
    """Setups, and stands: sets of conditions by title. ``changes``: minutes from one stand to another, shape
    (stands, stands), infinite where it cannot be brought about; ``start``: how things stand at first."""

    setups: tuple[Setup, ...] = ()
    stands: tuple[str, ...] = ("as it stands",)
    changes: Array = field(default_factory=lambda: np.zeros((1, 1)))
    start: int = 0

    def least(self, ways: Iterable[tuple[tuple[int, ...], int, float]] = ()) -> Array:
        """Minutes from stand to stand by way of any others (Floyd, Communications of the ACM 5, 1962).

        ``ways``: of an action the stands in which it begins (none: any), that in which it ends, its minutes.
        A change takes no longer than an action that leads there, so that no action is made for the way alone.
        """
        least = np.asarray(self.changes, dtype=float).copy()
        for begins, ends, minutes in ways:
            rows = list(begins) or list(range(len(self.stands)))
            least[rows, ends] = np.minimum(least[rows, ends], minutes)
        np.fill_diagonal(least, 0.0)
        for over in range(len(self.stands)):
            least = np.minimum(least, least[:, [over]] + least[[over], :])
        return least

    @cached_property
    def free(self) -> bool:
        """Whether nothing stands before any action."""
        return not self.setups and len(self.stands) == 1

    def wrong(self) -> Iterator[str]:
        """What is wrong with it, in sentences."""
        count = len(self.stands)
        changes = np.asarray(self.changes, dtype=float)
        if changes.shape != (count, count):
            yield f"{count} sets of conditions have a table of changes of the shape {changes.shape}"
        elif np.isnan(changes).any() or changes.min() < 0 or changes.diagonal().any():
            yield "a change of conditions takes less than no minutes, or staying takes some"
        if not 0 <= self.start < count:
            yield "the set of conditions at the start is not listed"
        for setup in self.setups:
            if not np.isfinite(setup.minutes) or setup.minutes < 0:
                yield f"{setup.name} takes {setup.minutes:g} minutes: not a cost"

    def unknown(self, handling: Handling) -> bool:
        """Whether the handling names a setup or a stand that is not listed."""
        stands = [*handling.begins, *(() if handling.ends is None else (handling.ends,))]
        return bool(handling.setups >> len(self.setups)) or any(
            not 0 <= stand < len(self.stands) for stand in stands
        )
