"""A problem from a dependency matrix: rows are states, columns are checks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from faultiso.planning.sequencing.problem import BadPlanningProblem, Check, Problem


def from_matrix(
    names: Sequence[str],
    prior: Sequence[float],
    checks: Sequence[str],
    minutes: Sequence[float],
    matrix: ArrayLike,
    nothing_wrong: str | None = None,
) -> Problem:
    """Isolation by checks; an entry is the probability (0 or 1 where noise-free) that it fails in a state.

    ``matrix`` (states, checks). ``nothing_wrong`` names the row in which no fault is present.
    Raises ``BadPlanningProblem``.
    """
    table = np.asarray(matrix, dtype=float)
    if table.shape != (len(names), len(checks)) or len(minutes) != len(checks):
        raise BadPlanningProblem(
            [f"the matrix has the shape {table.shape}; expected {len(names)} rows and {len(checks)} columns"]
        )
    if not np.all((table >= 0) & (table <= 1)):
        raise BadPlanningProblem(["an entry of the matrix is not within 0 to 1"])
    faults = tuple(name for name in names if name != nothing_wrong)
    states = tuple(0 if name == nothing_wrong else 1 << faults.index(name) for name in names)
    columns = tuple(
        Check(name, name, float(cost), ("passes", "fails"), np.stack([1 - column, column], axis=1))
        for name, cost, column in zip(checks, minutes, table.T, strict=True)
    )
    return Problem(faults, states, np.asarray(prior, dtype=float), columns, goal="isolate")
