"""Belief and costs as arrays: which sets of faults there may be, and what each repair would clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.belief.belief import Belief
from faultiso.model.effort import effort
from faultiso.model.parts import Repair
from faultiso.network.network import Array

MOST_FAULTS = 63  # bits of one machine word
MOST_SETS = 96

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

    ``places`` says at which place in the belief's evaluated sets each set stands. What is not listed
    (``rest``) counts as fixed by nothing here, so that every expected cost is an upper bound.
    """

    faults: tuple[str, ...]
    masks: Masks
    probability: Array
    places: tuple[int, ...]
    rest: float
    options: tuple[RepairOption, ...]
    refer_minutes: float

    def scaled(self, factor: float) -> Outlook:
        """As if the odds of every fault were multiplied by ``factor``."""
        sizes = np.array([int(mask).bit_count() for mask in self.masks])
        weights = self.probability * float(factor) ** sizes
        total = weights.sum() + self.rest
        return Outlook(
            self.faults,
            self.masks,
            weights / total,
            self.places,
            self.rest / total,
            self.options,
            self.refer_minutes,
        )


def outlook(belief: Belief) -> Outlook:
    """The outlook of a belief: as many of the likeliest sets as the masks can hold."""
    listed = belief.listed
    order = np.argsort(-listed.posterior, kind="stable")[:MOST_SETS]
    faults: dict[str, int] = {}
    masks, places = [], []
    for place in order.tolist():
        chosen = listed.sets[place]
        new = [name for name in sorted(chosen) if name not in faults]
        if listed.posterior[place] <= 0 or len(faults) + len(new) > MOST_FAULTS:
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
    found = []
    for repair in belief.model.repairs.values():
        clears = sum(1 << faults[name] for name in repair.clears if name in faults)
        if clears and (work := effort(belief.model, repair.work, belief.standing)) is not None:
            found.append(RepairOption(repair, work.minutes + repair.verification.minutes, clears))
    return found
