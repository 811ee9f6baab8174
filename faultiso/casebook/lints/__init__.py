"""What is wrong with the sense of a case that is right in form: one small file for each kind of mistake.

Each has ``check(case, model)``. The name of the file is the code of its problems.
"""

from __future__ import annotations

from collections.abc import Iterable
from importlib import import_module
from typing import Protocol

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.model.system import Model

#: what looks at texts alone; judged whenever the form is whole
OF_TEXTS = ("file_name", "hints", "made_with", "review", "wording")

#: what looks names up in the model; judged when they all stand for something
OF_SENSE = ("chapter", "giveaway", "kinds", "made_there", "precautions", "right_end")


class Lint(Protocol):
    def __call__(self, case: Case, model: Model) -> Iterable[Problem]: ...


def judge(case: Case, model: Model, names_hold: bool = True) -> list[Problem]:
    """What the lints say about a case; ``names_hold``: all its names are names of the model."""
    names = OF_TEXTS + (OF_SENSE if names_hold else ())
    return [problem for name in names for problem in lint(name)(case, model)]


def lint(name: str) -> Lint:
    """The check of that name."""
    check: Lint = import_module(f"{__name__}.{name}").check
    return check
