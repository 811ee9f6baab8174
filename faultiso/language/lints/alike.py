"""Faults that change exactly the same things in the same way: no check can ever tell them apart.

A warning, since that may be the truth about a system.

Wrong:

    components: {motor: {faults: {seized: {rate: 1e-5}, open_winding: {rate: 1e-5}}}}
    quantities:
      speed:
        levels: [ok, none]
        rules:
          - {when: {motor.seized: present}, then: none}
          - {when: {motor.open_winding: present}, then: none}
    indications:
      hum: {kind: sound, reads: speed}

Right:

    components: {motor: {faults: {seized: {rate: 1e-5}, open_winding: {rate: 1e-5}}}}
    quantities:
      speed:
        levels: [ok, none]
        rules:
          - {when: {motor.seized: present}, then: none}
          - {when: {motor.open_winding: present}, then: none}
    indications:
      hum: {kind: sound, reads: speed}
    checks:
      winding_test: {reads: motor.open_winding, minutes: 10}
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.nearest import listed
from faultiso.base.problems import Problem
from faultiso.model.parts import Cause, Rule
from faultiso.model.system import Model

Effects = dict[str, list[str]]


def check(model: Model) -> Iterable[Problem]:
    """Each group of faults alike, at its second fault."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for name, effects in _effects(model).items():
        if effects:
            groups.setdefault(tuple(sorted(effects)), []).append(name)
    for group in groups.values():
        if len(group) > 1:
            message = f"{listed(group, 'and')} look alike to every indication and check"
            yield Problem("alike", model.faults[group[1]].where, message, severity="warning")


def _effects(model: Model) -> Effects:
    """What each fault changes, in words that do not name it."""
    effects: Effects = {name: [] for name in model.faults}
    for quantity in model.quantities.values():
        _of_rules(quantity.name, quantity.rules, effects)
        for cause in quantity.causes:
            _of_cause(quantity.name, cause, effects)
    for sign in model.signs():
        _of_rules(sign.name, sign.rules, effects)
    for name, fault in model.faults.items():
        if fault.intermittent:
            effects[name].append(f"intermittent {fault.intermittent}")
        for source, chance in fault.caused_by.items():
            effects.get(source, []).append(f"causes {name} {chance}")
    return effects


def _of_rules(whose: str, rules: tuple[Rule, ...], effects: Effects) -> None:
    """Rows next to each other that end in the same are one block: within it their order does not matter."""
    block, ends = 0, ""
    for rule in rules:
        if f"{rule.then}/{rule.like}" != ends:
            block, ends = block + 1, f"{rule.then}/{rule.like}"
        for name, values in rule.when.items():
            if name in effects:
                rest = sorted((other, sorted(wanted)) for other, wanted in rule.when.items() if other != name)
                effects[name].append(f"{whose} block {block} {ends} if {sorted(values)} and {rest}")
        if rule.like in effects:
            effects[rule.like].append(f"{whose} block {block} shows it")


def _of_cause(whose: str, cause: Cause, effects: Effects) -> None:
    if cause.source in effects:
        effects[cause.source].append(f"{whose} gets {cause.responses}")
