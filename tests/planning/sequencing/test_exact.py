"""The exact solver against every order of everything, and each bound against the exact solver."""

from __future__ import annotations

import numpy as np
import pytest

from faultiso.planning.sequencing.bounds.blocks import blocks_bound, likely_blocks
from faultiso.planning.sequencing.bounds.certificate import certify
from faultiso.planning.sequencing.bounds.clairvoyant import clairvoyant
from faultiso.planning.sequencing.bounds.information import entropy_bound, huffman_bound
from faultiso.planning.sequencing.bounds.perfect import made_perfect
from faultiso.planning.sequencing.bounds.strongest import strongest
from faultiso.planning.sequencing.generate import Kind, generate
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.policies import expected_minutes, one_step
from faultiso.planning.sequencing.problem import Problem
from faultiso.planning.sequencing.search import Search, solve
from tests.planning.sequencing.brute import least_minutes

KINDS = {
    "isolate": Kind("isolate", faults=5, checks=4),
    "isolate, noisy": Kind("isolate", faults=3, checks=4, noise=0.1),
    "fix": Kind("fix", faults=3, checks=3),
    "fix, noisy": Kind("fix", faults=3, checks=3, noise=0.1),
    "fix, several faults": Kind("fix", faults=3, checks=2, noise=0.05, together=2),
    "fix, dependent repairs": Kind("fix", faults=3, checks=2, noise=0.05, together=2, dependent=0.5),
    "fix, repairs that fail": Kind("fix", faults=3, checks=2, noise=0.05, together=2, fails=0.2),
    "fix, false verified": Kind(
        "fix", faults=3, checks=2, noise=0.05, together=2, false_verified=0.1, looked_at=0.5
    ),
    "fix, on a site": Kind(
        "fix", faults=3, checks=2, noise=0.05, together=2, setups=2, stands=3, deferrals=1
    ),
    "isolate, on a site": Kind("isolate", faults=4, checks=3, setups=2, stands=2),
    "fix, cheap referral": Kind("fix", faults=3, checks=3, noise=0.1, refer=60.0),
}
EACH = 500 // len(KINDS) + 1
AGREE = 1e-7


def lower_bounds(problem: Problem) -> dict[str, float]:
    """Every bound that applies, at the start of the problem."""
    moves, prior = Moves(problem), np.asarray(problem.prior)
    return {
        "clairvoyant": float(clairvoyant(moves, prior[None])[0]),
        "clairvoyant from the start": float(clairvoyant(moves, prior[None], moves.everything)[0]),
        "strongest": float(strongest(moves, prior[None])[0]),
        "blocks": blocks_bound(problem, likely_blocks(problem, 2)),
        "larger blocks": blocks_bound(problem, likely_blocks(problem, 3)),
        "perfect checks": solve(made_perfect(problem)).root.high,
        "entropy": entropy_bound(moves, prior),
        "huffman": huffman_bound(moves, prior),
    }


def holds(problem: Problem) -> None:
    """Exact, no bound above it, and no plan below it."""
    best = solve(problem).root.high
    assert best == pytest.approx(least_minutes(problem), rel=AGREE)
    for name, low in lower_bounds(problem).items():
        assert low <= best * (1 + AGREE) + AGREE, name
    search = Search(problem)
    while not search.settled:
        assert search.root.low <= best * (1 + AGREE) + AGREE
        assert search.root.high >= best * (1 - AGREE) - AGREE
        search.step()
    assert expected_minutes(search.moves, one_step) >= best * (1 - AGREE)
    early = Search(problem)
    early.step()
    low, _ = certify(early, 0.05)
    assert early.root.low - AGREE <= low <= best * (1 + AGREE) + AGREE


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(2))
def test_exact_and_bounded(kind: str, seed: int) -> None:
    holds(generate(KINDS[kind], seed))


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_500_problems_exact_and_bounded(kind: str) -> None:
    for seed in range(EACH):
        holds(generate(KINDS[kind], 1000 + seed))
