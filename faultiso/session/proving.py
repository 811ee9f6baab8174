"""Proving a repair: in the conditions of the complaint, by its signs and by the repair's own checks."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from faultiso.belief.evidence import Reading, nearest_level
from faultiso.belief.observed import sign_of
from faultiso.model.effort import reach
from faultiso.model.parts import Match, Repair
from faultiso.model.system import Model
from faultiso.network.timeline import matches
from faultiso.session.course import Action, Carried, Course, Setting, carry_out


@dataclass(frozen=True)
class ProofPlan:
    """Where and by what a repair is proved. ``course``: how things stand there, its minutes included.

    ``apart``: checks whose needs do not go with the rest and that come before it, each with the moment of the
    course's timeline in which it is read. ``not_as_seen``: conditions of the complaint that cannot be brought
    about again.
    """

    repair: str
    course: Course
    minutes: float
    signs: tuple[str, ...]
    hazards: tuple[str, ...]
    not_as_seen: tuple[str, ...]
    people: int = 1
    who: tuple[str, ...] = ()
    apart: Mapping[str, int] = field(default_factory=dict)

    def conditions_of(self, sign: str) -> Mapping[str, str]:
        """The conditions in which a sign of the proof is read."""
        timeline = self.course.timeline
        return timeline.moments[self.moment_of(sign)].conditions

    def moment_of(self, sign: str) -> int:
        return self.apart.get(sign, self.course.timeline.now)


def plan_proof(
    model: Model, course: Course, repair: str, complaint: Mapping[str, str], reported: Sequence[Reading]
) -> ProofPlan | None:
    """The verification of a repair from here; None if its needs cannot be met."""
    made = model.repairs[repair]
    needed = _needed(model, course, made)
    if needed is None:
        return None
    wanted = _wanted(model, course, made, needed, complaint)
    checks = [model.checks[name] for name in made.verification.checks]
    straight = carry_out(model, course, Setting(wanted))
    if straight is None:
        return None
    apart = [check for check in checks if not _met(check.work.needs, straight.after.conditions)]
    at_last = {n: v for n, v in straight.after.conditions.items() if model.conditions[n].settable}
    way = _way(model, course, (*apart, Setting(at_last)))
    if way is None:
        return None
    efforts = [carried.effort for carried in way]
    going = sum(taken.minutes - taken.own_minutes for taken in efforts)
    minutes = going + made.verification.minutes
    men = sum(taken.man_minutes - taken.own_minutes * taken.people for taken in efforts[:-1])
    men += efforts[-1].man_minutes + made.verification.minutes
    there = way[-1].after
    hazards = [hazard for taken in efforts for hazard in taken.hazards]
    hazards += [hazard for check in checks for hazard in check.work.hazards]
    as_seen = {n: v for n, v in complaint.items() if not model.conditions[n].must_restore}
    names = [check.name for check in sorted(checks, key=lambda check: check not in apart)]
    return ProofPlan(
        repair=repair,
        course=Course(there.timeline, there.standing, course.minutes + minutes, course.man_minutes + men),
        minutes=minutes,
        signs=tuple(dict.fromkeys((*names, *_signs(model, complaint, reported)))),
        hazards=tuple(dict.fromkeys(hazards)),
        not_as_seen=tuple(n for n, v in as_seen.items() if there.conditions[n] != v),
        people=max(taken.people for taken in efforts),
        who=tuple(dict.fromkeys(who for taken in efforts for who in taken.who)),
        apart={check.name: carried.read.timeline.now for check, carried in zip(apart, way[:-1], strict=True)},
    )


def _way(model: Model, course: Course, actions: Sequence[Action]) -> list[Carried] | None:
    """The actions carried out one after the other; None if one of them cannot be."""
    found: list[Carried] = []
    for action in actions:
        carried = carry_out(model, course, action)
        if carried is None:
            return None
        found.append(carried)
        course = carried.after
    return found


def _needed(model: Model, course: Course, repair: Repair) -> Mapping[str, str] | None:
    """Conditions in which the verification can be made, and each of its checks that goes with the rest."""
    way = reach(model, repair.verification.needs, course.conditions)
    if way is None:
        return None
    conditions, kept = way[1], [repair.verification.needs]
    for name in repair.verification.checks:
        needs = model.checks[name].work.needs
        further = reach(model, needs, conditions)
        if further is not None and all(_met(other, further[1]) for other in kept):
            conditions = further[1]
            kept.append(needs)
    return conditions


def _wanted(
    model: Model, course: Course, repair: Repair, needed: Mapping[str, str], complaint: Mapping[str, str]
) -> dict[str, str]:
    """What the verification and its checks need, and of the conditions of the complaint what goes with it."""
    checks = [model.checks[name].work.needs for name in repair.verification.checks]
    kept = [needs for needs in (repair.verification.needs, *checks) if _met(needs, needed)]
    must = {name for match in repair.verification.needs for name in match}
    wanted = {n: v for n, v in needed.items() if v != course.conditions[n] or n in must}
    for name, value in complaint.items():
        condition = model.conditions[name]
        if name in must or condition.must_restore or not condition.settable:
            continue
        further = {**wanted, name: value}
        if _possible(model, course, further, kept):
            wanted = further
    return wanted


def _possible(
    model: Model, course: Course, wanted: Mapping[str, str], kept: Sequence[tuple[Match, ...]]
) -> bool:
    """Whether all of these can be so at the same time, not only one after the other.

    What had to be so to bring a value about has to stay so, and so have the needs that are ``kept``.
    """
    way = reach(model, ({name: (value,) for name, value in wanted.items()},), course.conditions)
    if way is None or any(way[1][name] != value for name, value in wanted.items()):
        return False
    changes = [step.change.needs for step in way[0] if way[1][step.condition] == step.value]
    return all(_met(needs, way[1]) for needs in (*changes, *kept))


def _met(needs: tuple[Match, ...], conditions: Mapping[str, str]) -> bool:
    return not needs or any(matches(match, conditions) for match in needs)


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
