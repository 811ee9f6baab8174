"""Blocks of states solved exactly, each as if only it could be: their costs add up to a lower bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from faultiso.planning.sequencing.problem import Array, Problem
from faultiso.planning.sequencing.search import search_for


def blocks_bound(problem: Problem, blocks: Sequence[Sequence[int]], seconds: float = np.inf) -> float:
    """Lower bound from a partition of the states (places) into blocks, each given an equal share of the time.

    The cost of a plan is linear in the probabilities, and a plan for all states is one for those of a block,
    so the least cost of the whole is no less than the sum of those of the parts (superadditivity; value
    functions of this kind: Smallwood & Sondik, Operations Research 21, 1973). A block whose time is up counts
    with its own lower bound.
    """
    total = 0.0
    for block in blocks:
        mass = float(problem.prior[list(block)].sum())
        if mass > 0:
            alone = replace(problem, prior=_within(problem, block) / mass)
            total += mass * search_for(alone, seconds / len(blocks)).root.low
    return total


def _within(problem: Problem, block: Sequence[int]) -> Array:
    kept = np.zeros(len(problem.states))
    kept[list(block)] = problem.prior[list(block)]
    return kept


def likely_blocks(problem: Problem, size: int) -> list[list[int]]:
    """States by probability, dealt out so that each block holds likely and unlikely ones."""
    order = np.argsort(-problem.prior, kind="stable").tolist()
    count = -(-len(order) // size)
    return [order[first::count] for first in range(count)]
