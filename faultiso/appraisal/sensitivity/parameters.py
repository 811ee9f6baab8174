"""Every number of a model that makes a chance, and the model with one of them changed.

Of chances that sum to one the others give way in proportion (Laskey, IEEE Trans. SMC 25, 1995, from memory),
so that every chance of an answer stays a ratio of two linear functions of the number. Chances of 0 and 1 say
how the system is built and are left alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from faultiso.model.parts import Chances, Component, Fault, Quantity, Response
from faultiso.model.system import Model
from faultiso.network.ground import prior

Kind = Literal["rate", "share", "secondary", "strength", "leak", "misread", "miss", "false alarm"]


@dataclass(frozen=True)
class Parameter:
    """One number. ``of``: the fault, quantity, indication or check that it belongs to; ``place``: what else
    is needed to find it there; ``label`` says it in words of the model's file."""

    kind: Kind
    of: str
    place: tuple[str | int, ...]
    value: float
    label: str

    @property
    def is_rate(self) -> bool:
        return self.kind == "rate"

    def times(self, factor: float) -> float:
        """The value with a rate times the factor, or the odds of a chance times the factor."""
        if self.is_rate:
            return self.value * factor
        odds = factor * self.value / (1.0 - self.value)
        return odds / (1.0 + odds)


def parameters(model: Model) -> Iterator[Parameter]:
    """All of them, in the order of the file."""
    for fault in model.faults.values():
        yield from _of_fault(fault)
    for quantity in model.quantities.values():
        yield from _of_quantity(quantity)
    for sign in model.indications.values():
        yield from _chance("misread", sign.name, (), sign.misread, f"{sign.name} misread")
    for check in model.checks.values():
        yield from _chance("miss", check.name, (), check.miss, f"miss of {check.name}")
        yield from _chance("false alarm", check.name, (), check.false_alarm, f"false alarm of {check.name}")


def _chance(
    kind: Kind, of: str, place: tuple[str | int, ...], value: float, label: str
) -> Iterator[Parameter]:
    if 0.0 < value < 1.0:
        yield Parameter(kind, of, place, value, label)


def _of_fault(fault: Fault) -> Iterator[Parameter]:
    name = fault.name
    if fault.rate > 0:
        yield Parameter("rate", name, (), fault.rate, f"rate of {name}")
    for source, chance in fault.caused_by.items():
        yield from _chance("secondary", name, (source,), chance, f"{name} caused by {source}")
    if fault.intermittent:
        for word in ("share", "otherwise"):
            share = getattr(fault.intermittent, word)
            yield from _chance("share", name, (word,), share, f"{name} acts, {word}")


def _of_quantity(quantity: Quantity) -> Iterator[Parameter]:
    name = quantity.name
    for number, cause in enumerate(quantity.causes):
        for case, response in enumerate(cause.responses):
            for source, gives in response.gives.items():
                for level, chance in gives.items():
                    with_ = cause.source if source == "present" else f"{cause.source} {source}"
                    when = f", case {case + 1}" if len(cause.responses) > 1 else ""
                    label = f"{with_} gives {name} {level}{when}"
                    yield from _chance("strength", name, (number, case, source, level), chance, label)
    for level, chance in quantity.leak.items():
        yield from _chance("leak", name, (level,), chance, f"leak of {name} {level}")


def changed(model: Model, parameter: Parameter, value: float) -> Model:
    """The model with the number at another value."""
    of, place = parameter.of, parameter.place
    match parameter.kind:
        case "rate":
            return _with_fault(model, of, lambda fault: replace(fault, rate=value))
        case "secondary":
            source = str(place[0])
            return _with_fault(
                model, of, lambda fault: replace(fault, caused_by={**fault.caused_by, source: value})
            )
        case "share":
            return _with_fault(model, of, lambda fault: _with_share(fault, str(place[0]), value))
        case "strength" | "leak":
            quantity = _with_chance(model.quantities[of], place, value)
            return replace(model, quantities={**model.quantities, of: quantity})
        case "misread":
            sign = replace(model.indications[of], misread=value)
            return replace(model, indications={**model.indications, of: sign})
        case "miss":
            return replace(model, checks={**model.checks, of: replace(model.checks[of], miss=value)})
        case "false alarm":
            return replace(model, checks={**model.checks, of: replace(model.checks[of], false_alarm=value)})


def _with_fault(model: Model, name: str, change: Callable[[Fault], Fault]) -> Model:
    unit: Component = model.components[model.faults[name].component]
    faults = tuple(change(fault) if fault.name == name else fault for fault in unit.faults)
    return replace(model, components={**model.components, unit.name: replace(unit, faults=faults)})


def _with_share(fault: Fault, word: str, value: float) -> Fault:
    assert fault.intermittent is not None
    intermittent = fault.intermittent
    if word == "share":
        return replace(fault, intermittent=replace(intermittent, share=value))
    return replace(fault, intermittent=replace(intermittent, otherwise=value))


def _with_chance(quantity: Quantity, place: tuple[str | int, ...], value: float) -> Quantity:
    if len(place) == 1:
        return replace(quantity, leak=moved(quantity.leak, str(place[0]), value))
    number, case, source, level = int(place[0]), int(place[1]), str(place[2]), str(place[3])
    cause = quantity.causes[number]
    response: Response = cause.responses[case]
    gives = {**response.gives, source: moved(response.gives[source], level, value)}
    responses = (*cause.responses[:case], replace(response, gives=gives), *cause.responses[case + 1 :])
    causes = (
        *quantity.causes[:number],
        replace(cause, responses=responses),
        *quantity.causes[number + 1 :],
    )
    return replace(quantity, causes=causes)


def moved(chances: Chances, level: str, value: float) -> Mapping[str, float]:
    """The chances with one at another value, the others and what is missing to one in proportion."""
    rest = 1.0 - chances[level]
    factor = (1.0 - value) / rest
    return {name: value if name == level else chance * factor for name, chance in chances.items()}


def argument(model: Model, parameter: Parameter, value: float) -> float:
    """What the chances of answers are ratios of linear functions of: of a rate P(its fault) before any
    reading and cause, of a chance itself."""
    if not parameter.is_rate:
        return value
    chance = -math.expm1(-value * model.flight_hours_at_risk)
    if not model.one_fault:
        return chance
    odds = chance / (1.0 - chance)
    return odds / (1.0 + odds + _other_odds(model, parameter.of))


def value_of(model: Model, parameter: Parameter, at: float) -> float:
    """The value of a number from its ``argument``, between 0 and 1."""
    if not parameter.is_rate:
        return at
    odds = at / (1.0 - at)
    if model.one_fault:
        odds *= 1.0 + _other_odds(model, parameter.of)
    return math.log1p(odds) / model.flight_hours_at_risk


def _other_odds(model: Model, fault: str) -> float:
    """The summed odds of all other faults: where only one may be there, P(fault) goes by odds."""
    hours = model.flight_hours_at_risk
    chances = [prior(other, hours) for name, other in model.faults.items() if name != fault]
    return math.fsum(chance / (1.0 - chance) for chance in chances)
