"""Entropy and Huffman bounds: only where the task is isolation alone and no check is noisy."""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np

from faultiso.planning.sequencing.ceiling import entropy
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.problem import Array


def entropy_bound(moves: Moves, belief: Array) -> float:
    """Bits that are missing times the minutes of the check that gives a bit most cheaply.

    Shannon, Bell System Technical Journal 27, 1948; for sequential testing Pattipati & Alexandridis 1990.
    """
    if not applies(moves):
        return 0.0
    per_bit = [c.minutes / np.log2(len(c.outcomes)) for c in moves.problem.checks if len(c.outcomes) > 1]
    return float(entropy(groups(moves, belief)) * min(per_bit)) if per_bit else 0.0


def huffman_bound(moves: Moves, belief: Array) -> float:
    """Length of the best code times the minutes of the cheapest check.

    Huffman, Proc. IRE 40, 1952: no tree of checks with free choice at each node is shorter.
    """
    several = [c for c in moves.problem.checks if len(c.outcomes) > 1]
    if not applies(moves) or not several:
        return 0.0
    letters = max(len(c.outcomes) for c in several)
    return huffman_length(groups(moves, belief).tolist(), letters) * min(c.minutes for c in several)


def huffman_length(weights: Sequence[float], letters: int = 2) -> float:
    """Expected length of the best code with an alphabet of ``letters``."""
    heap = [w for w in weights if w > 0]
    while len(heap) > 1 and (len(heap) - 1) % (letters - 1):
        heap.append(0.0)
    heapq.heapify(heap)
    length = 0.0
    while len(heap) > 1:
        merged = sum(heapq.heappop(heap) for _ in range(letters))
        length += merged
        heapq.heappush(heap, merged)
    return length


def applies(moves: Moves) -> bool:
    """Whether these bounds may be used at all."""
    return moves.problem.goal == "isolate" and moves.problem.noise_free


def groups(moves: Moves, belief: Array) -> Array:
    """Probabilities of the groups of states that no check can split."""
    together = ~moves.splits.any(axis=0)
    return np.array([belief[row].sum() for row in np.unique(together, axis=0)])
