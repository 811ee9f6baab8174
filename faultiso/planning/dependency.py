"""A belief as a dependency matrix: what each fault alone would make each check show that is not as usual."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.belief.diagnoses import Listed
from faultiso.interchange.matrix import DependencyMatrix
from faultiso.interchange.tables import frozen
from faultiso.planning.advice import HANDLING_MINUTES

FELT = 1e-3  # a check that no fault moves by more than this is left out


@dataclass(frozen=True)
class _Column:
    name: str
    minutes: float
    detects: np.ndarray


def dependency_matrix(belief: Belief) -> DependencyMatrix:
    """Rows: the faults of the model, each as if alone; columns: what can be read from here.

    A cell is the probability that the sign shows something else than it most likely does with no fault.
    Minutes include those to meet a check's needs from here. Nothing may have been read.
    """
    names = tuple(belief.model.faults)
    sets = (frozenset[str](), *(frozenset((name,)) for name in names))
    seen = belief.open_to(Listed(sets, np.full(len(sets), 1.0 / len(sets))))
    columns = []
    for name, sign in seen.items():
        usual = int(sign.given[0].argmax())
        detects = np.clip(1.0 - sign.given[1:, usual], 0.0, 1.0)
        if np.ptp(detects) > FELT:
            work = belief.prospects[name].effort
            columns.append(_Column(name, HANDLING_MINUTES + (work.minutes if work else 0.0), detects))
    return DependencyMatrix(
        names,
        tuple(column.name for column in columns),
        frozen(np.array([column.minutes for column in columns])),
        frozen(np.array([belief.prior_of(name) for name in names])),
        frozen(np.stack([column.detects for column in columns], axis=1).round(6)),
    )
