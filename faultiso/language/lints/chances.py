"""Probabilities of levels that exclude each other add up to more than 1.

Wrong:

    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    quantities:
      pressure: {levels: [ok, low, none], causes: [{fault: pump.worn, gives: {low: 0.8, none: 0.4}}]}

Right:

    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    quantities:
      pressure: {levels: [ok, low, none], causes: [{fault: pump.worn, gives: {low: 0.8, none: 0.2}}]}
"""

from __future__ import annotations

from collections.abc import Iterable
from math import fsum

from faultiso.base.problems import Problem, Where
from faultiso.model.parts import Chances
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Every ``gives`` and ``leak`` whose sum is above 1, with the sum."""
    for quantity in model.quantities.values():
        yield from _judge(quantity.leak, f"the leak of {quantity.name}", quantity.where)
        for cause in quantity.causes:
            for response in cause.responses:
                for chances in response.gives.values():
                    yield from _judge(chances, f"what {cause.source} gives", cause.where)


def _judge(chances: Chances, what: str, where: Where) -> Iterable[Problem]:
    total = fsum(chances.values())  # to the last digit: tenths that make 1 are not above it
    if total > 1:
        terms = " + ".join(f"{chance:.9g}" for chance in chances.values())
        yield Problem(
            "chances", where, f"the probabilities of {what} sum to {total:.9g} ({terms}); expected at most 1"
        )
