"""What is wrong with the sense of a model that is right in form: one small file for each kind of mistake.

Each has ``check(model)`` and a docstring with a wrong and a right example, which is tested. The name of the
file is the code of its problems.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from importlib import import_module

from faultiso.base.problems import Problem
from faultiso.model.system import Model

Lint = Callable[[Model], Iterable[Problem]]

#: what every reasoning relies on; judged whenever a model is read
ESSENTIAL = ("cycle", "certain", "chances", "default_row")

#: what a writer wants to know; judged by a full check
THOROUGH = (
    "alike", "hands", "loosening", "memory", "ranges", "review", "same_title", "shadowed", "sourceless",
    "torque", "unaffected", "unreachable", "unrepaired", "unrevealed", "unused",
)  # fmt: skip


def judge(model: Model, thorough: bool = True) -> list[Problem]:
    """What the lints say about a model, the thorough ones on request."""
    names = ESSENTIAL + (THOROUGH if thorough else ())
    return [problem for name in names for problem in lint(name)(model)]


def lint(name: str) -> Lint:
    """The check of that name, imported when it is needed: a first prompt does not wait for it."""
    check: Lint = import_module(f"{__name__}.{name}").check
    return check
