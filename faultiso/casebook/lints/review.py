"""A case that calls itself reviewed, but was not reviewed by another person."""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.language.lints.review import judged
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """As for models."""
    return judged(case.review)
