"""What it would take if the state were known."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.problem import Array


def clairvoyant(moves: Moves, beliefs: Array, left: int | None = None) -> Array:
    """A lower bound for each row of beliefs (rows, states): whoever knows the state pays no more.

    ``left``: what is still to be done; with it, the way to the first repair counts too.

    Perfect information, e.g. Raiffa, Decision Analysis, 1968. For "fix": the cheapest repairs of each
    state. For "isolate": no state is proved before each other one that is possible has been told
    from it, so the dearest of these distinctions, each by its cheapest check, must be paid.
    """
    if moves.problem.goal == "fix":
        return np.asarray(beliefs @ fix_from(moves, left))
    cheapest = cheapest_distinctions(moves)
    possible = (beliefs > 0).astype(float)
    dearest = (cheapest[None] * possible[:, None, :]).max(axis=2)
    return np.asarray((beliefs * dearest).sum(axis=1))


def cheapest_distinctions(moves: Moves) -> Array:
    """Minutes of the cheapest check that tells two states apart (states, states); 0 where none does.

    For noisy checks only pairs that every plan must tell apart count, and after a check was made the pair may
    be left to no check at all: there it is 0, which is admissible.
    """
    states = len(moves.problem.states)
    if not moves.problem.checks or not moves.problem.noise_free:
        return np.zeros((states, states))
    minutes = np.array([c.minutes for c in moves.problem.checks])[:, None, None]
    cheapest = np.where(moves.splits, minutes, np.inf).min(axis=0)
    return np.where(np.isfinite(cheapest), cheapest, 0.0)


@lru_cache(maxsize=4096)
def fix_from(moves: Moves, left: int | None) -> Array:
    """Minutes to fix each state when the state is known at every step (states,), from what is left to do.

    Setups and changes count for the first repair alone, whatever was done before it: no plan pays less.
    """
    if left is None or moves.problem.site.free or not moves.repairs:
        return fix_when_known(moves)
    tries = tries_when_known(moves) + moves.least_extra(left)[:, None]
    return np.where(moves.wrong > 0, np.minimum(_given_up(moves), tries.min(axis=0)), 0.0)


@lru_cache(maxsize=8)
def fix_when_known(moves: Moves) -> Array:
    """The same wherever everything is at hand (states,).

    Repairs may be tried again here, and each attempt fails on its own: a relaxation, hence a lower bound.
    """
    known, given_up = np.zeros(len(moves.problem.states)), _given_up(moves)
    for s in sorted(range(len(known)), key=lambda s: moves.problem.states[s].bit_count()):
        if moves.problem.states[s]:
            known[s] = min([given_up[s], *(_try(moves, r, s, known) for r in moves.repairs)])
    return known


@lru_cache(maxsize=8)
def tries_when_known(moves: Moves) -> Array:
    """Minutes to fix each state if that repair comes first (repairs, states), infinite where it is no use."""
    known = fix_when_known(moves)
    return np.array([[_try(moves, r, s, known) for s in range(len(known))] for r in moves.repairs])


def _given_up(moves: Moves) -> Array:
    """The cheapest end without a repair in each state (states,)."""
    return np.vstack([np.full(len(moves.problem.states), moves.problem.costs.refer), moves.deferred]).min(
        axis=0
    )


def _try(moves: Moves, r: int, s: int, known: Array) -> float:
    again = moves.stays[r, s, s]
    if not moves.touches[r, s] or again >= 1:
        return float(np.inf)
    onward = moves.stays[r, s] @ known - again * known[s]
    return float((moves.prices[r, s] + onward) / (1.0 - again))
