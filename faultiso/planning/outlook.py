"""Belief and costs as arrays: which sets of faults there may be, and what each repair would clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from faultiso.belief.belief import Belief
from faultiso.model.effort import effort
from faultiso.model.parts import Repair
from faultiso.network.network import Array

MOST_FAULTS = 63  # bits of one machine word
SERVICEABLE_MINUTES = 45.0  # what it costs besides to have taken off a unit that was good; never zero

Masks = NDArray[np.uint64]


@dataclass(frozen=True)
class RepairOption:
    """A repair that could fix something: its minutes with verification, and the faults it clears as bits."""

    repair: Repair
    minutes: float
    clears: int


@dataclass(frozen=True)
class Outlook:
    """The likeliest sets of faults as bit masks (sets,), their probabilities (sets,), and the repairs.

    ``places`` says at which place among the belief's leading sets each set stands. What is not listed
    (``rest``) counts as fixed by nothing here, so that every expected cost is an upper bound.
    """

    faults: tuple[str, ...]
    masks: Masks
    probability: Array
    places: tuple[int, ...]
    rest: float
    options: tuple[RepairOption, ...]
    refer_minutes: float
    serviceable_minutes: float = SERVICEABLE_MINUTES
    _fixes: dict[int, Array] = field(default_factory=dict, repr=False, compare=False)
    _shares: dict[int, Array] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def minutes(self) -> Array:
        """Minutes of each repair with its verification, shape (repairs,)."""
        return np.array([option.minutes for option in self.options])

    @cached_property
    def clears(self) -> Masks:
        """The faults that each repair clears, shape (repairs,)."""
        return np.array([option.clears for option in self.options], dtype=np.uint64)

    @cached_property
    def touches(self) -> Array:
        """1 where the repair removes some fault of the set, shape (repairs, sets)."""
        return ((self.clears[:, None] & self.masks[None, :]) != 0).astype(float)

    def fixes(self, cleared: int) -> Array:
        """1 where a repair removes the last fault of a set of which ``cleared`` are gone (repairs, sets)."""
        if cleared not in self._fixes:
            left = self.masks & ~np.uint64(cleared)
            last = (left[None, :] & ~self.clears[:, None]) == 0
            self._fixes[cleared] = (last & (left != 0)).astype(float)
        return self._fixes[cleared]

    def shares(self, cleared: int) -> Array:
        """The share of a set's remaining faults that a repair removes (repairs, sets)."""
        if cleared not in self._shares:
            left = self.masks & ~np.uint64(cleared)
            removed = np.bitwise_count(left[None, :] & self.clears[:, None])
            self._shares[cleared] = removed / np.maximum(np.bitwise_count(left), 1)
        return self._shares[cleared]

    def scaled(self, factor: float) -> Outlook:
        """As if the odds of every fault were multiplied by ``factor``."""
        sizes = np.array([int(mask).bit_count() for mask in self.masks])
        weights = self.probability * float(factor) ** sizes
        total = weights.sum() + self.rest
        return replace(self, probability=weights / total, rest=self.rest / total)


def outlook(belief: Belief) -> Outlook:
    """The outlook of a belief: as many of the likeliest sets as the masks can hold."""
    listed = belief.leading
    faults: dict[str, int] = {}
    masks, places = [], []
    for place, chosen in enumerate(listed.sets):
        new = [name for name in sorted(chosen) if name not in faults]
        if len(faults) + len(new) > MOST_FAULTS:
            continue
        for name in new:
            faults[name] = len(faults)
        masks.append(sum(1 << faults[name] for name in chosen))
        places.append(place)
    probability = listed.posterior[places]
    return Outlook(
        faults=tuple(faults),
        masks=np.array(masks, dtype=np.uint64),
        probability=probability,
        places=tuple(places),
        rest=max(0.0, 1.0 - float(probability.sum())),
        options=tuple(_options(belief, faults)),
        refer_minutes=belief.model.refer_minutes,
    )


def _options(belief: Belief, faults: dict[str, int]) -> Sequence[RepairOption]:
    """The repairs that could fix something; of those that clear the same faults, the quickest."""
    found: dict[int, RepairOption] = {}
    for repair in belief.model.repairs.values():
        clears = sum(1 << faults[name] for name in repair.clears if name in faults)
        if clears and (work := effort(belief.model, repair.work, belief.standing)) is not None:
            option = RepairOption(repair, work.minutes + repair.verification.minutes, clears)
            if clears not in found or option.minutes < found[clears].minutes:
                found[clears] = option
    return list(found.values())
