"""A dependency matrix as a model: each row a fault, each column a check, each cell a strength.

The matrix says which one of its faults is there, so the model assumes one fault. P(fault) is as given where
the probabilities come to less than 1; where they come to 1 or more, in proportion to them.
"""

from __future__ import annotations

import math

import numpy as np

from faultiso.drafting.naming import FULL_NAME, Names, identifier
from faultiso.drafting.tables.detection import FOUND_BY_HAND
from faultiso.drafting.tables.draft import HOURS, REPLACE, STATE, Component, Draft, Effect, Fault, Sign
from faultiso.drafting.tables.fmea_model import Made
from faultiso.interchange.matrix import DependencyMatrix

LEAST_NONE = 1e-3  # chance that nothing is wrong where the probabilities leave none: rates know no certainty
_USUAL, _SHOWN = "as usual", "shown"


def model_of_matrix(matrix: DependencyMatrix, file: str, name: str) -> Made:
    """The model of a matrix; ``name``: as its file is called."""
    names = Names()
    told: list[str] = []
    components, faults = _components(matrix, names, file)
    signs = [
        sign for place in range(len(matrix.checks)) if (sign := _sign(matrix, place, faults, names, told))
    ]
    hidden = [fault for fault, row in zip(faults, matrix.detects, strict=True) if not row.any()]
    if hidden:
        told.append(f'no check shows {", ".join(hidden)}: the check "look for the rest" was added, 60 min')
        signs.append(_rest(hidden, names))
    draft = Draft(
        name=identifier(name, "model", "-"),
        title=name,
        preface=(
            f"Written from the dependency matrix {file}. A draft: read every line of it.",
            "A cell is the strength with which a fault makes a check show. Rates follow from probabilities.",
        ),
        components=components,
        signs=tuple(signs),
        one_fault=True,
        timed=True,
        ending=("Added, or not carried over:", *(f"- {sentence}" for sentence in told)) if told else (),
    )
    return Made(draft, tuple(told))


def rates_of(probability: np.ndarray) -> list[float]:
    """Rates an hour with which exactly one fault has these probabilities, as `Model.one_fault` reads them.

    With P(fault) in proportion to the odds exp(rate * hours) - 1 and P(none) to 1.
    """
    total = float(probability.sum())
    none = max(1.0 - total, LEAST_NONE)
    share = probability / total if total > 0 else probability
    return [math.log1p(part * (1.0 - none) / none) / HOURS for part in share.tolist()]


def _components(matrix: DependencyMatrix, names: Names, file: str) -> tuple[tuple[Component, ...], list[str]]:
    """A component for all names with the same before a point or colon; the full name of each row's fault."""
    parts: dict[str, tuple[str, str, Names, list[Fault]]] = {}
    full = []
    for row, rate in zip(matrix.faults, rates_of(matrix.probability), strict=True):
        given = FULL_NAME.fullmatch(row)
        unit, mode = (given[1], given[2]) if given else _parted(row)
        if unit not in parts:
            name = names.given(unit, REPLACE) if given else names.of(unit, "unit", REPLACE)
            parts[unit] = (name, _title(unit, given), Names(), [])
        component, _, own, faults = parts[unit]
        name = own.given(mode) if given else own.of(mode, "mode")
        faults.append(Fault(name, _title(mode, given), rate, f"{file}, {row}"))
        full.append(f"{component}.{name}")
    components = [Component(name, title, "", tuple(faults)) for name, title, _, faults in parts.values()]
    return tuple(components), full


def _parted(row: str) -> tuple[str, str]:
    """ "Pump: worn" is the worn pump; anything without a colon is a unit that fails."""
    unit, _, mode = (part.strip() for part in row.partition(": "))
    return unit, mode or "failed"


def _title(text: str, is_name: object) -> str:
    return text.replace("_", " ") if is_name else text


def _sign(
    matrix: DependencyMatrix, place: int, faults: list[str], names: Names, told: list[str]
) -> Sign | None:
    title = matrix.checks[place]
    cells = zip(faults, matrix.detects[:, place].tolist(), strict=True)
    effects = tuple(Effect(fault, _SHOWN, chance) for fault, chance in cells if chance > 0)
    if not effects:
        told.append(f'the check "{title}" shows no fault: left out')
        return None
    minutes = float(matrix.minutes[place])
    return Sign(names.of(title, "check", STATE), title, "", (_USUAL, _SHOWN), effects, minutes)


def _rest(hidden: list[str], names: Names) -> Sign:
    effects = tuple(Effect(fault, _SHOWN, 1.0) for fault in hidden)
    title = "look for the rest"
    return Sign(names.of(title, "check", STATE), title, "", (_USUAL, _SHOWN), effects, FOUND_BY_HAND, "added")
