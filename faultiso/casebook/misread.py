"""What the world of a case misreads: the reading errors of its seed, for whoever writes the case."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from faultiso.casebook.case import Case
from faultiso.casebook.complaint import AT_WORK, complaint
from faultiso.casebook.hidden_world import world_of
from faultiso.model.effort import Standing, effort, steps_between
from faultiso.model.parts import Check
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline, handling

NOW, REPORTED = "now", "reported"


@dataclass(frozen=True)
class Misread:
    """One reading that is not what it should be. ``where``: a situation, NOW, or REPORTED (by the crew)."""

    sign: str
    where: str
    shown: str
    right: str


def misread(case: Case, model: Model) -> tuple[Misread, ...]:
    """Of the reports, of the checks as they can be made from now, of the indications in every situation that
    can be reached from now. Work that is done first may change more: each repair draws anew.

    Raises UsageError or TooImprobable where the world of the case cannot be.
    """
    world, told = world_of(case, model), complaint(case, model)
    found: dict[Misread, None] = {}
    for sign, where, timeline, moment, reader in _readings(case, model):
        shown = world.answer(sign, timeline, moment, reader).outcome
        right = world.truth(sign, timeline, moment)
        if shown != right:
            found[Misread(sign, where, shown, right)] = None
    for reading in told.readings:
        right = world.truth(reading.sign, told.timeline, reading.moment)
        shown = world.answer(reading.sign, told.timeline, reading.moment, reading.draw).outcome
        if shown != right:
            found[Misread(reading.sign, REPORTED, shown, right)] = None
    return tuple(found)


def _readings(case: Case, model: Model) -> Iterator[tuple[str, str, Timeline, int, int]]:
    """Sign, where, history, moment and reader of everything that can be read from now."""
    told = complaint(case, model).timeline
    for where, timeline in _situations(model, told):
        for name in model.indications:
            yield name, where, timeline, timeline.now, AT_WORK
    standing = Standing(told.moments[-1].conditions)
    for check in model.checks.values():
        taken = effort(model, check.work, standing)
        if taken is not None:
            timeline = _made(told, check, taken.standing)
            yield check.name, NOW, timeline, timeline.now, AT_WORK


def _situations(model: Model, told: Timeline) -> Iterator[tuple[str, Timeline]]:
    now = told.moments[-1].conditions
    yield NOW, told
    for situation in model.situations.values():
        way = steps_between(model, now, situation.values)
        if way is not None and way[0]:
            yield situation.name, told.then(way[1])


def _made(told: Timeline, check: Check, standing: Standing) -> Timeline:
    """The history in which a check is read that is made first of all."""
    first = handling(f"{check.name} at {told.now + 1}", check.work)
    if not first.changes_nothing:
        return told.then(standing.conditions, (first,))
    same = standing.conditions == told.moments[-1].conditions
    return told if same else told.then(standing.conditions)
