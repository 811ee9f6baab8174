"""What depends on what in a model, by name: conditions, faults, quantities, indications, checks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from faultiso.model.parts import Quantity, Rule
from faultiso.model.system import Model

Parents = Mapping[str, tuple[str, ...]]


def parents(model: Model) -> dict[str, tuple[str, ...]]:
    """For every fault, quantity, indication and check the names that it is directly decided by."""
    found = {name: tuple(fault.caused_by) for name, fault in model.faults.items()}
    for quantity in model.quantities.values():
        found[quantity.name] = tuple(dict.fromkeys(_of_quantity(quantity)))
    for sign in model.signs():
        found[sign.name] = tuple(dict.fromkeys(_of_rules(sign.rules)))
    return found


def _of_rules(rules: Iterable[Rule]) -> Iterable[str]:
    for rule in rules:
        yield from rule.when
        if rule.like:
            yield rule.like


def _of_quantity(quantity: Quantity) -> Iterable[str]:
    yield from _of_rules(quantity.rules)
    for cause in quantity.causes:
        yield cause.source
        for response in cause.responses:
            yield from response.when


def ancestors(start: Iterable[str], above: Parents) -> set[str]:
    """The given names and everything that they depend on."""
    found: set[str] = set()
    todo = list(start)
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            todo.extend(above.get(name, ()))
    return found


def loops(above: Parents) -> list[list[str]]:
    """Loops among names that depend on themselves: one for each knot, from its first name back to it."""
    found: list[list[str]] = []
    done: set[str] = set()
    for name in above:
        if name not in done:
            _search(name, above, done, found)
    return found


def _search(start: str, above: Parents, done: set[str], found: list[list[str]]) -> None:
    """Depth first without recursion; a name met again on the way down closes a loop."""
    way = [start]
    left = [iter(above.get(start, ()))]
    while way:
        following = next(left[-1], None)
        if following is None:
            done.add(way.pop())
            left.pop()
        elif following in way:
            loop = way[way.index(following) :]
            if not any(set(loop) & set(other) for other in found):
                found.append([*loop, following])
        elif following not in done:
            way.append(following)
            left.append(iter(above.get(following, ())))
