"""A fault that is as good as certain within the hours at risk: nothing can be learnt about it by looking.

Wrong:

    flight_hours_at_risk: 500
    components: {pump: {faults: {worn: {rate: 0.5}}}}

Right:

    flight_hours_at_risk: 500
    components: {pump: {faults: {worn: {rate: 5e-6}}}}
"""

from __future__ import annotations

from collections.abc import Iterable
from math import exp

from faultiso.base.problems import Problem
from faultiso.model.system import Model

LEAST = 1e-9  # chance that it has not come up, below which nothing can be told apart


def check(model: Model) -> Iterable[Problem]:
    """Every fault whose rate makes it certain."""
    hours = model.flight_hours_at_risk
    for fault in model.faults.values():
        if exp(-fault.rate * hours) < LEAST:
            message = (
                f"{fault.name} is certain: {fault.rate:g} an hour in {hours:g} hours at risk; expected a rate"
                " of failures an hour, such as 5e-6"
            )
            yield Problem("certain", fault.where, message)
