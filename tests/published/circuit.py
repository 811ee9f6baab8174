"""Three multipliers and two adders (de Kleer & Williams 1987) as constraints, and as a network."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import combinations

import numpy as np

from faultiso.network.network import Array, Network
from tests.published.records import Builder

COMPONENTS = ("M1", "M2", "M3", "A1", "A2")
POINTS = ("X", "Y", "Z")
ROWS = {"M1": (1, 0, 0), "M2": (0, 1, 0), "M3": (0, 0, 1), "A1": (1, 1, 0), "A2": (0, 1, 1)}


def equations(inputs: Mapping[str, int], observed: Mapping[str, int]) -> dict[str, tuple[Array, float]]:
    """What each component says about X, Y and Z while it is good."""
    outputs = {
        "M1": inputs["A"] * inputs["C"],
        "M2": inputs["B"] * inputs["D"],
        "M3": inputs["C"] * inputs["E"],
        "A1": observed["F"],
        "A2": observed["G"],
    }
    found = {part: (np.array(ROWS[part], dtype=float), float(outputs[part])) for part in COMPONENTS}
    for place, point in enumerate(POINTS):
        if point in observed:
            found[point] = (np.eye(3)[place], float(observed[point]))
    return found


def solution(rows: Iterable[tuple[Array, float]]) -> tuple[bool, dict[str, float]]:
    """Whether the equations agree, and the points that they settle."""
    given = list(rows)
    if not given:
        return True, {}
    matrix, values = np.array([row for row, _ in given]), np.array([value for _, value in given])
    rank = np.linalg.matrix_rank(matrix)
    agree = rank == np.linalg.matrix_rank(np.column_stack([matrix, values]))
    best = np.linalg.lstsq(matrix, values, rcond=None)[0]
    settled = {
        point: float(round(best[place], 9))
        for place, point in enumerate(POINTS)
        if np.linalg.matrix_rank(np.vstack([matrix, np.eye(3)[place]])) == rank
    }
    return bool(agree), settled


def fault_sets() -> list[frozenset[str]]:
    return [frozenset(c) for size in range(6) for c in combinations(COMPONENTS, size)]


def good_parts(known: Mapping[str, tuple[Array, float]], faulty: frozenset[str]) -> list[tuple[Array, float]]:
    return [equation for part, equation in known.items() if part not in faulty]


def consistent_sets(known: Mapping[str, tuple[Array, float]]) -> list[frozenset[str]]:
    return [faulty for faulty in fault_sets() if solution(good_parts(known, faulty))[0]]


def minimal_conflicts(known: Mapping[str, tuple[Array, float]]) -> list[frozenset[str]]:
    """Smallest sets of components that cannot all be good."""
    found: list[frozenset[str]] = []
    for good in fault_sets():
        if any(conflict <= good for conflict in found):
            continue
        measured = [known[point] for point in POINTS if point in known]
        if not solution([*measured, *[known[part] for part in good]])[0]:
            found.append(good)
    return found


def circuit_network(known: Mapping[str, tuple[Array, float]], p: float) -> Network:
    """Five faults; "agrees" is 1 where the readings are possible; each point shows what is predicted.

    Where a fault set settles nothing at a point, its weight is shared among the values others predict.
    """
    build = Builder()
    for part in COMPONENTS:
        build.add(part, (), [1 - p, p])
    agrees = np.zeros((2,) * 5 + (2,))
    settled: dict[tuple[int, ...], dict[str, float]] = {}
    for faulty in fault_sets():
        states = tuple(int(part in faulty) for part in COMPONENTS)
        possible, settled[states] = solution(good_parts(known, faulty))
        agrees[(*states, int(possible))] = 1.0
    build.add("agrees", COMPONENTS, agrees)
    for point in POINTS:
        possible_sets = [states for states in settled if agrees[(*states, 1)]]
        values = sorted({settled[s][point] for s in possible_sets if point in settled[s]})
        table = np.full((2,) * 5 + (len(values),), 1 / len(values))
        for states in possible_sets:
            if point in settled[states]:
                table[states] = np.array(values) == settled[states][point]
        build.add(point, COMPONENTS, table, tuple(f"{value:g}" for value in values))
    return build.network()
