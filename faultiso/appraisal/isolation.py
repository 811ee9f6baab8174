"""Fractions of faults that are detected, and isolated to so many units.

Definitions: IEEE Std 1522-2004 (testability and diagnosability characteristics and metrics) and MIL-HDBK-2165
(1995), from memory. FD: rate of the faults that are detected, as a share of the rate of all. FI(k): rate of
the detected faults whose ambiguity group holds at most k units, as a share of the rate of all that are
detected. Both also with every fault counted alike.

Where signs have chances, "detected" and "told apart" need a limit: a fault is detected if some sign tells it
from nothing wrong by ``least`` or more (see ``signatures``), and its ambiguity group is all detected faults
that no sign tells from it by as much. With checks that are right or wrong this is the standards' definition.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.network.network import Array

MOST_UNITS = 3
ANY = 1e-9  # difference that counts as any at all


@dataclass(frozen=True)
class Shares:
    """``isolated``: to one, two, three units, of what is detected; ``size``: mean number of units of a group.

    None where there is nothing to take a share of.
    """

    detected: float | None
    isolated: tuple[float | None, ...]
    size: float | None


@dataclass(frozen=True)
class Isolation:
    """Who is detected and who is not told from whom, with the shares by rate and counting faults alike.

    ``groups``: for each fault the places of its ambiguity group, itself among them; empty if not detected.
    """

    least: float
    detected: NDArray[np.bool_]
    groups: tuple[frozenset[int], ...]
    sizes: NDArray[np.intp]
    by_rate: Shares
    alike: Shares


def isolation(apart: Array, rates: Array, units: Sequence[str], least: float) -> Isolation:
    """Judge a table of differences, ``apart`` (1 + faults, 1 + faults), nothing wrong first."""
    detected = np.asarray(apart[0, 1:] >= least)
    same = (apart[1:, 1:] < least) & detected[None, :] & detected[:, None]
    groups = tuple(frozenset(np.flatnonzero(row).tolist()) for row in same)
    sizes = np.array([len({units[place] for place in group}) for group in groups], dtype=np.intp)
    return Isolation(
        least=least,
        detected=detected,
        groups=groups,
        sizes=sizes,
        by_rate=shares(rates, detected, sizes),
        alike=shares(np.ones(len(sizes)), detected, sizes),
    )


def shares(weights: Array, detected: NDArray[np.bool_], sizes: NDArray[np.intp]) -> Shares:
    """The shares with these weights; ``sizes``: units in the ambiguity group of each fault."""
    total, found = float(weights.sum()), float(weights[detected].sum())
    if found <= 0:
        return Shares(0.0 if total > 0 else None, (None,) * MOST_UNITS, None)
    within = [float(weights[detected & (sizes <= most)].sum()) for most in range(1, MOST_UNITS + 1)]
    size = float(weights[detected] @ sizes[detected])
    return Shares(found / total, tuple(part / found for part in within), size / found)
