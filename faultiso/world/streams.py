"""Numbered random streams by name: the same name, seed and draw give the same number on every machine.

Philox4x32-10 of J. K. Salmon, M. A. Moraes, R. O. Dror and D. E. Shaw, "Parallel random numbers: as easy
as 1, 2, 3", SC11 (2011): a number is a function of its place, so any draw of any seed can be had at once.
"""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

from faultiso.network.network import Array

Whole = NDArray[np.uint64]

LARGEST_SEED = 2**64 - 1
_LOW = np.uint64(0xFFFFFFFF)
_HALF = np.uint64(32)
_FACTORS = (np.uint64(0xD2511F53), np.uint64(0xCD9E8D57))
_WEYL = (0x9E3779B9, 0xBB67AE85)
_ROUNDS = 10


def uniform(name: str, seeds: Whole, draws: Whole) -> Array:
    """Numbers from 0 up to but not 1, one for each pair of a seed and a draw (below 2^32); same shapes."""
    digest = hashlib.sha256(name.encode("utf-8")).digest()
    key = (int.from_bytes(digest[:4], "big"), int.from_bytes(digest[4:8], "big"))
    high, low, _, _ = philox((draws, seeds & _LOW, seeds >> _HALF, np.zeros_like(draws)), key)
    return ((high << _HALF | low) >> np.uint64(11)).astype(np.float64) * 2.0**-53


def philox(counter: tuple[Whole, Whole, Whole, Whole], key: tuple[int, int]) -> tuple[Whole, ...]:
    """Four words of 32 bits for each counter of four words of 32 bits (all kept in 64 bits)."""
    a, b, c, d = counter
    for turn in range(_ROUNDS):
        first, second = (np.uint64((k + turn * w) % 2**32) for k, w in zip(key, _WEYL, strict=True))
        left, right = a * _FACTORS[0], c * _FACTORS[1]
        a, b, c, d = (right >> _HALF) ^ b ^ first, right & _LOW, (left >> _HALF) ^ d ^ second, left & _LOW
    return a, b, c, d
