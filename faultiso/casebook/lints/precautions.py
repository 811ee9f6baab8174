"""A critical precaution that no work of the model calls for: nobody could ever name it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """Every critical precaution that is among the hazards of no check, repair or change."""
    called_for = set(_hazards(model))
    for number, name in enumerate(case.critical_precautions):
        if name not in called_for:
            message = (
                f'no check, repair or change of the model has the hazard "{name}"; it could never be named'
            )
            yield Problem("precautions", case.place("critical_precautions", number), message)


def _hazards(model: Model) -> Iterator[str]:
    works = [check.work for check in model.checks.values()]
    for work in (*works, *(repair.work for repair in model.repairs.values())):
        yield from work.hazards
    for condition in model.conditions.values():
        for change in condition.changes.values():
            yield from change.hazards
