"""Two things of a kind with the same title: in a list nobody can tell which is which.

Wrong:

    components: {pump_1: {title: hydraulic pump}, pump_2: {title: hydraulic pump}}

Right:

    components: {pump_1: {title: hydraulic pump 1}, pump_2: {title: hydraulic pump 2}}
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from faultiso.base.problems import Problem
from faultiso.model.parts import Check, Component, Condition, Indication, Repair, Situation
from faultiso.model.system import Model

Titled = Check | Component | Condition | Indication | Repair | Situation


def check(model: Model) -> Iterable[Problem]:
    """The second of two parts with one title: a warning."""
    sections: tuple[Mapping[str, Titled], ...] = (
        model.conditions, model.situations, model.components, model.indications, model.checks, model.repairs,
    )  # fmt: skip
    for section in sections:
        first: dict[str, str] = {}
        for name, part in section.items():
            other = first.setdefault(part.title.casefold(), name)
            if other != name:
                message = f'{other} and {name} have the same title, "{part.title}"; people see only titles'
                yield Problem("same_title", part.where, message, severity="warning")
