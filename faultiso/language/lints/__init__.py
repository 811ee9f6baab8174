"""What is wrong with the sense of a model that is right in form: one small file for each kind of mistake.

Each has ``check(model)`` and a docstring with a wrong and a right example, which is tested.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from faultiso.base.problems import Problem
from faultiso.language.lints import (
    alike,
    chances,
    cycle,
    default_row,
    hands,
    loosening,
    ranges,
    review,
    shadowed,
    sourceless,
    torque,
    unaffected,
    unreachable,
    unrepaired,
    unrevealed,
    unused,
)
from faultiso.model.system import Model

Lint = Callable[[Model], Iterable[Problem]]

#: what every reasoning relies on; judged whenever a model is read
ESSENTIAL: dict[str, Lint] = {
    "cycle": cycle.check,
    "chances": chances.check,
    "default_row": default_row.check,
}

#: what a writer wants to know; judged by a full check
THOROUGH: dict[str, Lint] = {
    "alike": alike.check,
    "hands": hands.check,
    "loosening": loosening.check,
    "ranges": ranges.check,
    "review": review.check,
    "shadowed": shadowed.check,
    "sourceless": sourceless.check,
    "torque": torque.check,
    "unaffected": unaffected.check,
    "unreachable": unreachable.check,
    "unrepaired": unrepaired.check,
    "unrevealed": unrevealed.check,
    "unused": unused.check,
}


def judge(model: Model, thorough: bool = True) -> list[Problem]:
    """What the lints say about a model, the thorough ones on request."""
    checks = ESSENTIAL | (THOROUGH if thorough else {})
    return [problem for check in checks.values() for problem in check(model)]
