"""Why an indication says nothing now: inhibited by conditions, or by what they bring about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from faultiso.model.expected import ABSENT, expected
from faultiso.model.parts import Indication, Rule, Situation
from faultiso.model.system import Model


@dataclass(frozen=True)
class Silence:
    """An indication that cannot vary now: what it shows, and the conditions that make it so."""

    name: str
    outcome: str
    because: Mapping[str, str]


def silences(model: Model, conditions: Mapping[str, str]) -> tuple[Silence, ...]:
    """Every indication that says nothing in a complete set of condition values."""
    found = (silence(model, name, conditions) for name in model.indications)
    return tuple(item for item in found if item is not None)


def silence(model: Model, name: str, conditions: Mapping[str, str]) -> Silence | None:
    """Why an indication says nothing in these conditions; None if it can speak.

    The first row of its table that these conditions alone decide makes it a constant, provided that every
    row before it that is still open shows the same (a dead lamp on a light that is out).
    """
    still_open: set[str] = set()
    for rule in model.indications[name].rules:
        settled = {n: v for n, v in rule.when.items() if n in conditions}
        if any(conditions[n] not in accepted for n, accepted in settled.items()):
            continue
        if len(settled) < len(rule.when) and _only_failures(model, rule) and rule.then:
            still_open.add(rule.then)
            continue
        if len(settled) < len(rule.when) or not rule.when or not rule.then or still_open - {rule.then}:
            return None
        return Silence(name, rule.then, {n: conditions[n] for n in settled})
    return None


def hushed(model: Model, name: str, conditions: Mapping[str, str]) -> Silence | None:
    """Why an indication stays quiet with nothing wrong: by these conditions or by what they bring about.

    Less strict than ``silence``: a fault elsewhere (a contactor that stays closed) could still make it speak.
    """
    complete = {**model.start, **conditions}
    values = {**dict.fromkeys(model.faults, ABSENT), **complete, **expected(model, complete)}
    row = silencing_row(model.indications[name], values, model)
    return None if row is None else Silence(name, row.then, {key: values[key] for key in row.when})


def speaking(model: Model, name: str) -> tuple[Situation, ...]:
    """The situations in which neither conditions nor what they bring about keep the indication quiet."""
    return tuple(
        situation
        for situation in model.situations.values()
        if silence(model, name, {**model.start, **situation.values}) is None
        and hushed(model, name, situation.values) is None
    )


def _only_failures(model: Model, rule: Rule) -> bool:
    """Whether a row is about faults of the indication itself, so that the light is silent all the same."""
    return all(n in model.faults or n in model.conditions for n in rule.when)


def silencing_row(part: Indication, values: Mapping[str, str], model: Model) -> Rule | None:
    """The row that keeps an indication quiet, with nothing wrong, for a reason that hides everything else.

    That is the first row that matches ``values``, if it gives the quiet outcome, has a ``when``, and tests
    only conditions, or quantities and indications that stand at another level than their quiet one (which,
    with nothing wrong, only conditions can bring about: the pressure that a stopped motor does not make).
    """
    row = next((r for r in part.rules if all(values[key] in v for key, v in r.when.items())), None)
    if row is None or not row.when or row.then != part.outcomes[0]:
        return None
    return row if all(_brought_about(key, values[key], model) for key in row.when) else None


def _brought_about(name: str, value: str, model: Model) -> bool:
    if name in model.conditions:
        return True
    if name in model.quantities:
        return value != model.quantities[name].levels[0]
    return name in model.indications and value != model.indications[name].outcomes[0]
