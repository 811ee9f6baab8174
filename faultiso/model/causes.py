"""What acts on what in a model: faults, quantities, indications and checks, and the links between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from faultiso.base.nearest import nearest
from faultiso.base.problems import UsageError
from faultiso.model.parts import Check, Indication, Quantity
from faultiso.model.system import Model

Kind = Literal["fault", "quantity", "indication", "check"]
How = Literal["may", "rule", "brings"]


@dataclass(frozen=True)
class Node:
    """``given``: conditions that decide how it answers."""

    name: str
    title: str
    kind: Kind
    given: tuple[str, ...] = ()


@dataclass(frozen=True, order=True)
class Arrow:
    """``how``: "may" (a cause with a chance), "rule" (a row of a table), "brings" (secondary damage)."""

    source: str
    target: str
    how: How


@dataclass(frozen=True)
class Causes:
    """The graph; nodes in the order of the file, arrows between them."""

    nodes: tuple[Node, ...]
    arrows: tuple[Arrow, ...]


def causes_of(model: Model, name: str | None = None) -> Causes:
    """The causal graph of a model, or what is next to one name.

    ``name`` may be any node, a component (its faults) or a condition (what depends on it). Raises
    UsageError if the model does not know it.
    """
    nodes = tuple(_nodes(model))
    known = {node.name for node in nodes}
    arrows = tuple(dict.fromkeys(a for a in _arrows(model) if a.source in known and a.target in known))
    if name is None:
        return Causes(nodes, arrows)
    middle = _middle(model, nodes, name)
    near = {
        a for arrow in arrows if {arrow.source, arrow.target} & middle for a in (arrow.source, arrow.target)
    }
    kept = near | middle
    touching = tuple(arrow for arrow in arrows if {arrow.source, arrow.target} & middle)
    return Causes(tuple(node for node in nodes if node.name in kept), touching)


def _middle(model: Model, nodes: tuple[Node, ...], name: str) -> set[str]:
    if name in model.components:
        return {fault.name for fault in model.components[name].faults}
    if name in model.conditions:
        return {node.name for node in nodes if name in node.given}
    names = [node.name for node in nodes]
    if name not in names:
        known = [*names, *model.components, *model.conditions]
        near = nearest(name, known)
        hint = f"; nearest: {near}" if near else ""
        raise UsageError(f"{model.name} has no fault, quantity, indication or check called {name}{hint}")
    return {name}


def _nodes(model: Model) -> Iterator[Node]:
    for fault in model.faults.values():
        title = f"{model.components[fault.component].title}: {fault.title}"
        yield Node(fault.name, title, "fault")
    for quantity in model.quantities.values():
        yield Node(quantity.name, quantity.title, "quantity", _given(quantity, model))
    for indication in model.indications.values():
        yield Node(indication.name, indication.title, "indication", _given(indication, model))
    for check in model.checks.values():
        yield Node(check.name, check.title, "check", _given(check, model))


def _given(part: Quantity | Indication | Check, model: Model) -> tuple[str, ...]:
    keys = [key for rule in part.rules for key in rule.when]
    if isinstance(part, Quantity):
        keys += [key for cause in part.causes for response in cause.responses for key in response.when]
    return tuple(dict.fromkeys(key for key in keys if key in model.conditions))


def _arrows(model: Model) -> Iterator[Arrow]:
    for fault in model.faults.values():
        for source in fault.caused_by:
            yield Arrow(source, fault.name, "brings")
    for quantity in model.quantities.values():
        for cause in quantity.causes:
            yield Arrow(cause.source, quantity.name, "may")
        yield from _ruled(quantity)
    for sign in model.signs():
        yield from _ruled(sign)


def _ruled(part: Quantity | Indication | Check) -> Iterator[Arrow]:
    for rule in part.rules:
        for source in (*rule.when, *((rule.like,) if rule.like else ())):
            yield Arrow(source, part.name, "rule")
