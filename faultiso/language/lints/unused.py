"""A condition, caution, piece of equipment, panel or kind of person that nothing refers to: a warning.

(A template that is never used is told when the file is read.)

Wrong:

    equipment: {test_gauge: {title: test gauge}}

Right:

    equipment: {test_gauge: {title: test gauge}}
    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    checks:
      gauge_check: {reads: pump.worn, minutes: 5, equipment: test_gauge}
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from faultiso.base.problems import Problem
from faultiso.language.dependence import parents
from faultiso.model.parts import Caution, Change, Condition, Match, Place, Work
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """What is declared and never named."""
    used = set(_used(model))
    sections: dict[str, Mapping[str, Condition | Caution | Place]] = {
        "condition": model.conditions, "caution": model.cautions, "piece of equipment": model.equipment,
        "access panel": model.access, "kind of person": model.people,
    }  # fmt: skip
    for kind, section in sections.items():
        for name, part in section.items():
            if (kind, name) not in used:
                message = f"the {kind} {name} is never used; use it, or take it out"
                yield Problem("unused", part.where, message, severity="warning")


def _used(model: Model) -> Iterator[tuple[str, str]]:
    for names in parents(model).values():
        yield from (("condition", name) for name in names)
    for component in model.components.values():
        yield from (("access panel", panel) for panel in component.access)
    for fault in model.faults.values():
        if fault.intermittent:
            yield from _of_matches(fault.intermittent.brought_out_by)
    for condition in model.conditions.values():
        for change in condition.changes.values():
            yield from _of_work(change)
    for check in model.checks.values():
        yield from _of_work(check.work)
    for repair in model.repairs.values():
        yield from _of_work(repair.work)
        yield from _of_matches(repair.verification.needs)
        if repair.verification.inspection:
            yield "kind of person", "inspector"


def _of_work(work: Work | Change) -> Iterator[tuple[str, str]]:
    yield from (("caution", name) for name in work.hazards)
    yield from (("piece of equipment", name) for name in work.equipment)
    yield from (("access panel", name) for name in work.access)
    yield "kind of person", work.who
    yield from _of_matches(work.needs)
    if isinstance(work, Work):
        yield from (("condition", name) for name in work.sets)


def _of_matches(matches: tuple[Match, ...]) -> Iterator[tuple[str, str]]:
    yield from (("condition", name) for match in matches for name in match)
