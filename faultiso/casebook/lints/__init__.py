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

NAMES = (
    "chapter", "giveaway", "hints", "kinds", "made_there", "made_with", "precautions", "review", "right_end",
    "wording",
)  # fmt: skip


class Lint(Protocol):
    def __call__(self, case: Case, model: Model) -> Iterable[Problem]: ...


def judge(case: Case, model: Model) -> list[Problem]:
    """What the lints say about a case."""
    return [problem for name in NAMES for problem in lint(name)(case, model)]


def lint(name: str) -> Lint:
    """The check of that name."""
    check: Lint = import_module(f"{__name__}.{name}").check
    return check
