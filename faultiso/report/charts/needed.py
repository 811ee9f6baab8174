"""What a step of a chart needs before it and leaves after it, in sentences of cleaned words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from faultiso.base.nearest import listed
from faultiso.base.text import one_line
from faultiso.model.parts import Place, Work
from faultiso.model.system import Model
from faultiso.planning.tree import Step


def before(step: Step, model: Model | None) -> tuple[str, ...]:
    """Conditions to be brought about, people, access and equipment, a sentence each."""
    settings = [_value(name, value, model) for name, value in step.changes.items()]
    found = [f"Before it: {'; '.join(settings)}."] if settings else []
    if step.work is not None and (needs := _hands(step.work, model)):
        found.append(f"It takes {listed(needs, 'and')}.")
    return tuple(found)


def left_set(step: Step, model: Model | None) -> tuple[str, ...]:
    """What stays as the step leaves it until somebody restores it."""
    sets = step.work.sets if step.work else {}
    settings = [_value(name, value, model) for name, value in sets.items()]
    return (f"Stays so until restored: {'; '.join(settings)}.",) if settings else ()


def proof(step: Step, model: Model | None) -> tuple[str, ...]:
    """That a repair is proved, and by whom it is inspected."""
    if step.kind != "repair":
        return ()
    repair = model.repairs.get(step.name) if model else None
    inspected = repair is not None and repair.verification.inspection
    also = " An independent inspection belongs to it." if inspected else ""
    return (f"Then verify it in the conditions of the complaint.{also}",)


def cautions_of(step: Step, model: Model | None) -> tuple[str, ...]:
    """Names of the hazards of the step and of the changes of conditions before it."""
    names: list[str] = []
    for condition, value in step.changes.items():
        part = model.conditions.get(condition) if model else None
        change = part.changes.get(value) if part else None
        names += change.hazards if change else ()
    names += step.work.hazards if step.work else ()
    return tuple(dict.fromkeys(map(one_line, names)))


def _value(name: str, value: str, model: Model | None) -> str:
    part = model.conditions.get(name) if model else None
    title = part.title if part else name.replace("_", " ")
    titles: Mapping[str, str] = part.value_titles if part else {}
    return f"{one_line(title)} {one_line(titles.get(value, value.replace('_', ' ')))}"


def _hands(work: Work, model: Model | None) -> list[str]:
    people = [f"{work.people} people"] if work.people > 1 else []
    who = _titles([work.who] if work.who else [], model.people if model else {})
    access = _titles(work.access, model.access if model else {})
    return [*people, *who, *access, *_titles(work.equipment, model.equipment if model else {})]


def _titles(names: Iterable[str], known: Mapping[str, Place]) -> list[str]:
    return [one_line(known[name].title if name in known else name.replace("_", " ")) for name in names]
