"""A level or outcome is listed, but no rule, cause or leak ever gives it.

Wrong:

    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    quantities:
      pressure: {levels: [ok, low, none], causes: [{fault: pump.worn, gives: {low: 0.9}}]}

Right:

    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    quantities:
      pressure: {levels: [ok, low], causes: [{fault: pump.worn, gives: {low: 0.9}}]}
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.model.parts import Check, Indication, Quantity, Rule
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Each level and outcome that nothing gives."""
    for quantity in model.quantities.values():
        yield from _judge(quantity, quantity.levels, _of_quantity(quantity, model))
    for sign in model.signs():
        yield from _judge(sign, sign.outcomes, set(_of_rules(sign.rules, model)))


def _judge(
    part: Quantity | Indication | Check, levels: tuple[str, ...], given: set[str]
) -> Iterable[Problem]:
    for level in levels:
        if level not in given:
            message = f'nothing gives {part.name} the level "{level}"; add a rule or a cause, or take it out'
            yield Problem("unreachable", part.where, message)


def _of_quantity(quantity: Quantity, model: Model) -> set[str]:
    given = set(_of_rules(quantity.rules, model))
    if all(rule.when for rule in quantity.rules):
        given.add(quantity.levels[0])
    for cause in quantity.causes:
        for response in cause.responses:
            for chances in response.gives.values():
                given.update(level for level, chance in chances.items() if chance > 0)
    return given | {level for level, chance in quantity.leak.items() if chance > 0}


def _of_rules(rules: tuple[Rule, ...], model: Model) -> Iterable[str]:
    for rule in rules:
        yield from [rule.then] if rule.then else levels_of(rule.like, model)


def levels_of(name: str, model: Model) -> tuple[str, ...]:
    """What a fault, quantity or indication can be."""
    if name in model.quantities:
        return model.quantities[name].levels
    return model.indications[name].outcomes if name in model.indications else ("absent", "present")
