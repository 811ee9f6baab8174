"""The approved data that is expected lies in another chapter than everything that is faulty."""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.nearest import listed
from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """A chapter that is none of those of the faulty components' codes; silent where one has no code."""
    codes = [model.components[model.faults[fault].component].code for fault in case.truth]
    chapters = sorted({code[:2] for code in codes})
    if not case.approved_data or not all(chapters) or not chapters:
        return
    if case.approved_data[:2] not in chapters:
        own = f"what is faulty has code {listed(codes, 'and')}"
        message = f"chapter {case.approved_data[:2]} is expected, but {own}"
        yield Problem("chapter", case.place("approved_data"), message, severity="warning")
