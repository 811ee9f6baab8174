"""How much a reading moved the chances of the faults, in bits and in words."""

from __future__ import annotations

from math import log2
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief

MUCH, SOME, LITTLE = 1.0, 0.3, 0.03  # bits from which it is called so


def moved_bits(first: Belief, second: Belief) -> float:
    """Sum over the faults of the divergence of their chances (Kullback & Leibler 1951), in bits."""
    total = 0.0
    for name, after in second.faults.items():
        for p, q in ((after, first.faults[name]), (1 - after, 1 - first.faults[name])):
            total += p * log2(p / q) if p > 1e-15 and q > 1e-15 else 0.0
    return total


def moved_words(bits: float) -> str:
    """ "much", "some", "little" or "nothing"."""
    return "much" if bits >= MUCH else "some" if bits >= SOME else "little" if bits >= LITTLE else "nothing"
