"""Something remembers and nothing resets it, or a reset of what does not remember: a warning.

Wrong:

    components: {pump: {faults: {hot: {rate: 1e-5}}}}
    indications: {light: {kind: light, reads: pump.hot, memory: latched}}

Right:

    components: {pump: {faults: {hot: {rate: 1e-5}}}}
    indications: {light: {kind: light, reads: pump.hot, memory: latched}}
    checks: {reset: {reads: pump.hot, resets: light}}
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.model.parts import Check, Repair
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Both at the part where the missing word would stand."""
    places = {quantity.name: quantity.where for quantity in model.quantities.values() if quantity.remember}
    places |= {sign.name: sign.where for sign in model.indications.values() if sign.memory}
    actions: tuple[Check | Repair, ...] = (*model.checks.values(), *model.repairs.values())
    reset = {name for action in actions for name in action.work.resets}
    for name, where in places.items():
        if name not in reset:
            message = (
                f"{name} remembers, and nothing ever resets it; expected resets: {name} at a check or repair"
            )
            yield Problem("memory", where, message, severity="warning")
    for action in actions:
        for name in action.work.resets:
            if name not in places:
                message = f"{action.name} resets {name}, which does not remember anything"
                yield Problem("memory", action.where, message, severity="warning")
