"""What each quantity, indication and check depends on: which conditions, which faults, what of the past."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from faultiso.model.parts import Check, Indication, Quantity
from faultiso.model.system import Model

Part = Quantity | Indication | Check


@dataclass(frozen=True, slots=True)
class Dependence:
    """Everything that can make a difference to a part, directly or through others, by name.

    ``kept``: the quantities and indications among them (itself included) that remember; ``visits``: whether
    some intermittent fault is among the faults, so that it matters which visit it is.
    """

    conditions: tuple[str, ...]
    faults: tuple[str, ...]
    kept: tuple[str, ...]
    visits: bool


def dependences(model: Model) -> Mapping[str, Dependence]:
    """The dependence of every quantity, indication and check; worked out once for a model."""
    found: Mapping[str, Dependence] | None = model.__dict__.get("_dependences")
    if found is None:
        found = model.__dict__["_dependences"] = _worked_out(model)
    return found


def _worked_out(model: Model) -> Mapping[str, Dependence]:
    parts: dict[str, Part] = {**model.quantities, **model.indications, **model.checks}
    reached = {name: {name, *_direct(part, model)} for name, part in parts.items()}
    while grown := _grown(reached):
        reached |= grown
    return {name: _sorted(found, parts, model) for name, found in reached.items()}


def _grown(reached: Mapping[str, set[str]]) -> dict[str, set[str]]:
    """The sets that grow by what their members depend on."""
    longer = {name: found.union(*(reached.get(n, ()) for n in found)) for name, found in reached.items()}
    return {name: found for name, found in longer.items() if len(found) > len(reached[name])}


def _sorted(found: set[str], parts: Mapping[str, Part], model: Model) -> Dependence:
    faults = tuple(sorted(found & model.faults.keys()))
    return Dependence(
        conditions=tuple(sorted(found & model.conditions.keys())),
        faults=faults,
        kept=tuple(sorted(name for name in found & parts.keys() if _keeps(parts[name]))),
        visits=any(model.faults[fault].intermittent is not None for fault in faults),
    )


def _keeps(part: Part) -> bool:
    if isinstance(part, Quantity):
        return part.remember
    return isinstance(part, Indication) and bool(part.memory)


def _direct(part: Part, model: Model) -> Iterator[str]:
    """What the part's own table and causes name, and what brings its intermittent faults out."""
    for name in _named(part):
        yield name
        intermittent = model.faults[name].intermittent if name in model.faults else None
        if intermittent is not None:
            for match in intermittent.brought_out_by:
                yield from match


def _named(part: Part) -> Iterator[str]:
    for rule in part.rules:
        yield from rule.when
        if rule.like:
            yield rule.like
    if isinstance(part, Quantity):
        for cause in part.causes:
            yield cause.source
            for response in cause.responses:
                yield from response.when
