"""What depends on the present conditions alone, and not on what was before or on which visit it is."""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.model.parts import Check, Indication, Quantity
from faultiso.model.system import Model

Part = Quantity | Indication | Check


def timeless(model: Model) -> frozenset[str]:
    """Quantities, indications and checks with nothing remembered or intermittent among their causes."""
    parts: dict[str, Part] = {**model.quantities, **model.indications, **model.checks}
    marked = {name for name, fault in model.faults.items() if fault.intermittent is not None}
    marked |= {name for name, part in parts.items() if _keeps(part)}
    reads = {name: set(_read(part)) for name, part in parts.items()}
    while more := {name for name, sources in reads.items() if name not in marked and sources & marked}:
        marked |= more
    return frozenset(parts) - marked


def _keeps(part: Part) -> bool:
    if isinstance(part, Quantity):
        return part.remember
    return isinstance(part, Indication) and bool(part.memory)


def _read(part: Part) -> Iterator[str]:
    for rule in part.rules:
        yield from rule.when
        if rule.like:
            yield rule.like
    if isinstance(part, Quantity):
        yield from (cause.source for cause in part.causes)
