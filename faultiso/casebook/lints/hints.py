"""Hints that do not lead on: the same one twice."""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """A hint that says what an earlier one has said."""
    said: set[str] = set()
    for number, hint in enumerate(case.hints):
        plain = " ".join(hint.casefold().split())
        if plain in said:
            message = "this hint says the same as an earlier one; expected a stronger one"
            yield Problem("hints", case.place("hints", number), message)
        said.add(plain)
