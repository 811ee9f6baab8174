"""What of a look at everything is worth naming: the indications that tell the sets of faults apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.belief.looks import Look
from faultiso.network.network import Array

KEPT_SHARE = 0.98  # of the information that the whole look gives about the sets


@dataclass(frozen=True, eq=False)
class Watch:
    """Some indications of a look. ``patterns``: their outcomes, in the order of ``indications``; ``given``:
    P(pattern | set), shape (sets, patterns + 1), last what was not followed up."""

    indications: tuple[str, ...]
    patterns: tuple[tuple[str, ...], ...]
    given: Array


def worth_watching(look: Look, given: Array, prior: Array) -> Watch:
    """The look without what adds next to nothing, the least telling left out first.

    ``given`` (sets, patterns + 1) is the look as each set sees it, ``prior`` (sets,) sums to one.
    """
    kept = list(look.indications)
    whole = information(given, prior)
    watch = _joined(look, kept, given)
    while len(kept) > 1:
        fewer = [_joined(look, [k for k in kept if k != name], given) for name in kept]
        best = max(fewer, key=lambda other: information(other.given, prior))
        if information(best.given, prior) < KEPT_SHARE * whole:
            break
        kept, watch = list(best.indications), best
    return watch


def _joined(look: Look, kept: Sequence[str], given: Array) -> Watch:
    """Patterns that agree in what is kept, as one."""
    groups: dict[tuple[str, ...], list[int]] = {}
    for place, pattern in enumerate(look.patterns):
        groups.setdefault(tuple(pattern[name] for name in kept), []).append(place)
    columns = [given[:, places].sum(axis=1) for places in groups.values()]
    return Watch(tuple(kept), tuple(groups), np.stack([*columns, given[:, -1]], axis=1))


def information(given: Array, prior: Array) -> float:
    """I(set; outcome) in bits, for P(outcome | set) of the shape (sets, outcomes)."""
    joint = given * prior[:, None]
    apart = prior[:, None] * joint.sum(axis=0)
    seen = joint > 0
    return float((joint[seen] * np.log2(joint[seen] / apart[seen])).sum())
