"""Kinds that do not go with the truth: single, double, nothing wrong, intermittent, beyond the model."""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """Every kind that the truth speaks against, and every one that it calls for."""
    faults = [model.faults[fault] for fault in case.truth]
    facts = {
        "single": (len(faults) == 1, "exactly one fault"),
        "double": (len(faults) == 2, "exactly two faults"),
        "nothing wrong": (not faults and not case.beyond_model, "truth: [] and nothing beyond the model"),
        "intermittent": (any(fault.intermittent for fault in faults), "a fault that comes and goes"),
        "beyond the model": (case.beyond_model, "beyond_model: yes"),
    }
    for kind, (so, words) in facts.items():
        if kind in case.kinds and not so:
            message = f'the kind "{kind}" means {words}; that is not so here'
            yield Problem("kinds", case.place("kinds"), message)
        elif so and kind not in case.kinds:
            yield Problem("kinds", case.place("kinds"), f'there is {words}: expected the kind "{kind}"', kind)
