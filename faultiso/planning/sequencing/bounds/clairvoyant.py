"""What it would take if the state were known."""

from __future__ import annotations

import numpy as np

from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.problem import Array


def clairvoyant(moves: Moves, beliefs: Array) -> Array:
    """A lower bound for each row of beliefs (rows, states): whoever knows the state pays no more.

    Perfect information, e.g. Raiffa, Decision Analysis, 1968. For "fix": the cheapest repairs of each
    state. For "isolate": no state is proved before each other one that is possible has been told
    from it, so the dearest of these distinctions, each by its cheapest check, must be paid.
    """
    if moves.problem.goal == "fix":
        return np.asarray(beliefs @ fix_when_known(moves))
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


def fix_when_known(moves: Moves) -> Array:
    """Minutes to fix each state when the state is known at every step (states,).

    Repairs may be tried again here, and each attempt fails on its own: a relaxation, hence a lower bound.
    """
    problem, known = moves.problem, np.zeros(len(moves.problem.states))
    for s in sorted(range(len(known)), key=lambda s: problem.states[s].bit_count()):
        if problem.states[s]:
            known[s] = min([problem.costs.refer, *_tries(moves, s, known)])
    return known


def _tries(moves: Moves, s: int, known: Array) -> list[float]:
    found = []
    for r in moves.repairs:
        again = moves.stays[r, s, s]
        if moves.touches[r, s] and again < 1:
            onward = moves.stays[r, s] @ known - again * known[s]
            found.append(float((moves.prices[r, s] + onward) / (1.0 - again)))
    return found
