"""An indication or check that no fault and no leak can change: it tells nothing.

Wrong:

    conditions: {motor: {values: [stopped, running]}}
    indications:
      hum: {kind: sound, outcomes: [no, heard], rules: [{when: {motor: running}, then: heard}, {then: no}]}

Right:

    conditions: {motor: {values: [stopped, running]}}
    components: {motor_unit: {faults: {seized: {rate: 1e-5}}}}
    indications:
      hum:
        kind: sound
        outcomes: [no, heard]
        rules:
          - {when: {motor_unit.seized: present}, then: no}
          - {when: {motor: running}, then: heard}
          - {then: no}
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.language.dependence import ancestors, parents
from faultiso.model.parts import Check
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Every sign that depends on conditions alone, or on nothing."""
    above = parents(model)
    for sign in model.signs():
        if not any(_varies(name, model) for name in ancestors([sign.name], above)):
            what = "check" if isinstance(sign, Check) else "indication"
            message = (
                f"nothing affects the {what} {sign.name}: in given conditions it always shows the same; "
                "let it depend on a fault or a quantity, or take it out"
            )
            yield Problem("unaffected", sign.where, message)


def _varies(name: str, model: Model) -> bool:
    """Faults and leaks; and a name that stands for nothing, which is told elsewhere."""
    if name in model.quantities:
        return bool(model.quantities[name].leak)
    return name not in model.conditions and name not in model.indications and name not in model.checks
