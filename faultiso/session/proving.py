"""Proving a repair: in the conditions of the complaint, by its signs and by the repair's own checks."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from faultiso.belief.evidence import Reading, nearest_level
from faultiso.belief.observed import sign_of
from faultiso.model.effort import reach
from faultiso.model.parts import Repair
from faultiso.model.system import Model
from faultiso.session.course import Course, Setting, carry_out


@dataclass(frozen=True)
class ProofPlan:
    """Where and by what a repair is proved. ``course``: how things stand there, its minutes included.

    ``not_as_seen``: conditions of the complaint that cannot be brought about again.
    """

    repair: str
    course: Course
    minutes: float
    signs: tuple[str, ...]
    hazards: tuple[str, ...]
    not_as_seen: tuple[str, ...]
    people: int = 1
    who: tuple[str, ...] = ()


def plan_proof(
    model: Model, course: Course, repair: str, complaint: Mapping[str, str], reported: Sequence[Reading]
) -> ProofPlan | None:
    """The verification of a repair from here; None if its needs cannot be met."""
    made = model.repairs[repair]
    needed = reach(model, made.verification.needs, course.conditions)
    if needed is None:
        return None
    wanted = _wanted(model, course, made, needed[1], complaint)
    carried = carry_out(model, course, Setting(wanted))
    if carried is None:
        return None
    extra = made.verification.minutes
    there = carried.after
    checks = [model.checks[name] for name in made.verification.checks]
    hazards = (*carried.effort.hazards, *(hazard for check in checks for hazard in check.work.hazards))
    as_seen = {n: v for n, v in complaint.items() if not model.conditions[n].must_restore}
    return ProofPlan(
        repair=repair,
        course=Course(there.timeline, there.standing, there.minutes + extra, there.man_minutes + extra),
        minutes=carried.effort.minutes + extra,
        signs=tuple(dict.fromkeys((*(check.name for check in checks), *_signs(model, complaint, reported)))),
        hazards=tuple(dict.fromkeys(hazards)),
        not_as_seen=tuple(n for n, v in as_seen.items() if there.conditions[n] != v),
        people=carried.effort.people,
        who=carried.effort.who,
    )


def _wanted(
    model: Model, course: Course, repair: Repair, needed: Mapping[str, str], complaint: Mapping[str, str]
) -> dict[str, str]:
    """What the verification needs, and of the conditions of the complaint all that go with it."""
    must = {name for match in repair.verification.needs for name in match}
    wanted = {n: v for n, v in needed.items() if v != course.conditions[n] or n in must}
    for name, value in complaint.items():
        condition = model.conditions[name]
        if name in wanted or condition.must_restore or not condition.settable:
            continue
        further = {**wanted, name: value}
        if _possible(model, course, further):
            wanted = further
    return wanted


def _possible(model: Model, course: Course, wanted: Mapping[str, str]) -> bool:
    """Whether all of these can be so at the same time, not only one after the other."""
    way = reach(model, ({name: (value,) for name, value in wanted.items()},), course.conditions)
    return way is not None and all(way[1][name] == value for name, value in wanted.items())


def _signs(model: Model, complaint: Mapping[str, str], reported: Sequence[Reading]) -> tuple[str, ...]:
    """What was wrong in the complaint; if nothing was, all that was reported."""
    wrong = tuple(r.sign for r in reported if r.moment == 0 and not shows_normal(model, r, complaint))
    return wrong or tuple(r.sign for r in reported if r.moment == 0)


def shows_normal(model: Model, reading: Reading, conditions: Mapping[str, str]) -> bool:
    """Whether a reading is what a system without a fault shows in these conditions."""
    from faultiso.model.expected import expected

    sign = sign_of(model, reading.sign)
    shown = reading.outcome if reading.number is None else nearest_level(reading.number, sign)
    return shown == expected(model, conditions)[sign.name]


def remembers(model: Model, sign: str, resets: Collection[str]) -> bool:
    """Whether what a sign shows comes from something that one of these resets would set back."""
    return bool(set(resets) & _behind(model, sign))


def _behind(model: Model, sign: str) -> set[str]:
    """The sign and everything that it comes from."""
    found: set[str] = set()
    open_names = [sign]
    while open_names:
        name = open_names.pop()
        part = model.quantities.get(name) or model.indications.get(name) or model.checks.get(name)
        if part is None or name in found:
            continue
        found.add(name)
        open_names += [key for rule in part.rules for key in (*rule.when, rule.like)]
        open_names += [cause.source for cause in getattr(part, "causes", ())]
    return found
