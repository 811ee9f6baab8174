"""A row that can never match, because the rows before it have taken everything that it waits for.

Wrong:

    components: {lamp: {faults: {dead: {rate: 1e-5}}}}
    indications:
      light:
        kind: light
        outcomes: [lit, out]
        rules: [{then: lit}, {when: {lamp.dead: present}, then: out}]

Right:

    components: {lamp: {faults: {dead: {rate: 1e-5}}}}
    indications:
      light:
        kind: light
        outcomes: [lit, out]
        rules: [{when: {lamp.dead: present}, then: out}, {then: lit}]
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.model.parts import Cause, Match, Quantity, Rule
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Every row and case that comes too late, and causes that a row without ``when`` shuts off."""
    for quantity in model.quantities.values():
        yield from _rows(quantity.rules)
        yield from _shut_off(quantity)
        for cause in quantity.causes:
            yield from _cases(cause)
    for sign in model.signs():
        yield from _rows(sign.rules)


def _rows(rules: tuple[Rule, ...]) -> Iterable[Problem]:
    for number, rule in enumerate(rules):
        earlier = _taken_by(rule.when, [row.when for row in rules[:number]])
        if earlier is None:
            continue
        place = f"row {earlier + 1} (line {rules[earlier].where.line})"
        if rules[earlier].when:
            message = f"this row can never match: {place} matches whenever it would; put it before that row"
        else:
            message = f"this row can never match: {place} has no when and always matches; put that row last"
        yield Problem("shadowed", rule.where, message)


def _taken_by(when: Match, before: list[Match]) -> int | None:
    """The first earlier row, or the row that completes several, by which all of ``when`` is taken."""
    left = {name: set(values) for name, values in when.items()}
    for number, match in enumerate(before):
        outside = [name for name, values in match.items() if not left.get(name, {""}) <= set(values)]
        if not outside:
            return number
        if len(outside) == 1 and outside[0] in left:
            left[outside[0]] -= set(match[outside[0]])
    return None


def _cases(cause: Cause) -> Iterable[Problem]:
    for number, response in enumerate(cause.responses):
        earlier = _taken_by(response.when, [case.when for case in cause.responses[:number]])
        if earlier is not None:
            message = f"case {number + 1} of {cause.source} can never count: case {earlier + 1} comes first"
            yield Problem("shadowed", cause.where, message)


def _shut_off(quantity: Quantity) -> Iterable[Problem]:
    always = next((rule for rule in quantity.rules if not rule.when), None)
    if always and (quantity.causes or quantity.leak):
        message = f"this row always matches, so no cause or leak of {quantity.name} can act; give it a when"
        yield Problem("shadowed", always.where, message)
