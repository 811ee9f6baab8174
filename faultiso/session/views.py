"""What is shown of belief and advice: who leads, and what is proposed next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from faultiso.base.problems import UsageError
from faultiso.belief.observed import sign_of
from faultiso.model.effort import Effort
from faultiso.session import words
from faultiso.session.course import Action, Carried, Setting, carry_out
from faultiso.session.desk import UNEXPLAINED, Desk
from faultiso.session.proving import plan_proof
from faultiso.session.replies import Leader, Leaders, Proposal, Said

#: Chance that nothing modelled is wrong, from which on a repair that is proved is the last one.
SOUND = 0.5
ENOUGH_TRIED = 2  # proofs of one repair that failed, after which another of the same fault is made
LEAST_BITS = 1e-3  # about the leading sets of faults, from which an indication is worth a look

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.belief.evidence import Reading
    from faultiso.planning.advice import Action as Advised
    from faultiso.planning.advice import Advice

MOST_LEADERS = 4
WORTH_SHOWING = 0.01
MOST_DOUBTED = 2
REFER = "stop and refer"
ENOUGH_DECIBANS = 3.0  # below this one reading alone is no reason


def leaders(desk: Desk, belief: Belief) -> Leaders:
    """The leading sets of faults with the reading that speaks most for each."""
    named = [d for d in belief.leaders if d.faults and d.probability >= WORTH_SHOWING][:MOST_LEADERS]
    rows = tuple(
        Leader(
            d.faults, words.set_words(desk.model, d.faults), d.probability, because(desk, belief, d.faults)
        )
        for d in named
    )
    nothing = belief.none_modelled
    return Leaders(rows, max(0.0, 1.0 - nothing - sum(row.probability for row in rows)), nothing)


def because(desk: Desk, belief: Belief, faults: Iterable[str]) -> str:
    """The readings that speak most for these faults, in words; "" if none does."""
    from faultiso.belief.explain import reasons

    found = [reasons(belief, name) for name in faults]
    names = dict.fromkeys(
        words.reading_words(desk.model, witness.reading)
        for each in found
        for witness in each.supporting[:1]
        if witness.decibans >= ENOUGH_DECIBANS
    )
    together = any(each.together >= ENOUGH_DECIBANS for each in found)
    return ", ".join(names) or ("the readings together" if together else "")


# what is proposed


def proposal(desk: Desk) -> Proposal:
    """The next action, at any moment of the work."""
    return _after_repair(desk) or _by_advice(desk)


def _after_repair(desk: Desk) -> Proposal | None:
    state = desk.state
    last = state.last_repair
    if last is None:
        return None
    if last.proof == "failed":
        return service_proposal(desk) or _another_repair(desk)
    if last.proof == "":
        return proof_proposal(desk)
    if last.proof == "not known":
        return None if _work_is_left(desk) else finish_proposal(desk)
    return _what_else(desk) or restore_proposal(desk) or finish_proposal(desk)


def _what_else(desk: Desk) -> Proposal | None:
    """After a repair that is proved: the next step, where something else is more likely wrong than not."""
    if not desk.belief.possible or desk.belief.none_modelled > SOUND:
        return None
    step = _by_advice(desk)
    return step if step.kind in ("check", "look", "set", "repair") else None


def service_proposal(desk: Desk) -> Proposal | None:
    """After a proof that failed: a reset or a service, if what still shows may only be remembered."""
    from faultiso.session.services import service

    found = service(desk)
    if found is None:
        return None
    repair, carried = found
    reason = "what was so before the repair may be remembered or latched"
    return proposed("repair", repair.name, repair.title, carried.effort, desk, reason)


def _another_repair(desk: Desk) -> Proposal | None:
    """After a repair that failed its proof often enough: another one of the same, that fails less often."""
    state, model = desk.state, desk.model
    tried = model.repairs[state.repairs[-1].name]
    in_vain = sum(repair.name == tried.name and repair.proof == "failed" for repair in state.repairs)
    if in_vain < ENOUGH_TRIED or not desk.belief.possible:
        return None
    if not any(set(tried.clears) & set(d.faults) for d in desk.belief.leaders[:1]):
        return None
    others = [
        r for r in model.repairs.values() if set(tried.clears) <= set(r.clears) and r.fails < tried.fails
    ]
    ways = [(taken.effort, r) for r in others if (taken := carry_out(model, state.course, r)) is not None]
    if not ways:
        return None
    found, other = min(ways, key=lambda way: way[0].minutes)
    return proposed("repair", other.name, other.title, found, desk, "the other repair did not hold, twice")


def _work_is_left(desk: Desk) -> bool:
    return desk.belief.possible and desk.advice.action.kind != "refer"


def finish_proposal(desk: Desk) -> Proposal:
    return Proposal("finish", "", "close the work", reason=finding(desk))


def finding(desk: Desk) -> str:
    """What stands at the end, in a few words."""
    repair = desk.state.last_repair
    if repair is not None and repair.proof == "passed":
        return "the repair is done and proved"
    return "nothing is proved yet"


def restore_proposal(desk: Desk) -> Proposal | None:
    """What has to go back to where it was, first one first."""
    return next((restore_of(desk, name) for name in desk.state.unrestored), None)


def restore_of(desk: Desk, name: str) -> Proposal:
    """Bringing one condition back to where it was."""
    condition = desk.model.conditions[name]
    title = f"restore: {words.value_words(desk.model, name, condition.start)}"
    taken = carry_out(desk.model, desk.state.course, Setting({name: condition.start}))
    if taken is None:
        return Proposal("hand over", name, title, reason="it can not be restored from here")
    still = words.value_words(desk.model, name, desk.state.course.conditions[name])
    found = proposed("restore", name, title, taken.effort, desk, f"now {still}")
    return replace(
        found, settings={name: condition.start}, needs=_beyond(desk, found.needs, {name: condition.start})
    )


def proof_proposal(desk: Desk) -> Proposal:
    state = desk.state
    repair = state.repairs[-1].name
    plan = plan_proof(desk.model, state.course, repair, state.complaint, state.reported)
    title = f"verify: {desk.model.repairs[repair].title}"
    if plan is None:
        return Proposal(
            "hand over", repair, title, reason="its conditions can not be brought about from here"
        )
    needs = words.differing(state.course.conditions, plan.course.conditions)
    reason = (
        "in the conditions of the complaint" if not plan.not_as_seen else "as near to the complaint as can be"
    )
    return Proposal(
        "verify",
        repair,
        title,
        plan.minutes,
        plan.people,
        _people(desk, plan.who),
        _in_words(desk, needs),
        plan.hazards,
        reason,
    )


def proposed(kind: str, name: str, title: str, effort: Effort, desk: Desk, reason: str = "") -> Proposal:
    """A proposal with what its work takes."""
    needs = {step.condition: step.value for step in effort.steps}
    things = [
        *_in_words(desk, needs),
        *(desk.model.access[a].title for a in effort.opens),
        *(desk.model.equipment[e].title for e in effort.fetches),
    ]
    return Proposal(
        kind,
        name,
        title,
        effort.minutes,
        effort.people,
        _people(desk, effort.who),
        tuple(things),
        effort.hazards,
        reason,
    )


def _people(desk: Desk, who: tuple[str, ...]) -> tuple[str, ...]:
    """Kinds of persons by their titles."""
    return tuple(desk.model.people[name].title if name in desk.model.people else name for name in who)


def _in_words(desk: Desk, settings: dict[str, str]) -> tuple[str, ...]:
    return tuple(words.value_words(desk.model, name, value) for name, value in settings.items())


def _by_advice(desk: Desk) -> Proposal:
    """The best action that was not set aside, as a proposal."""
    if not desk.belief.possible:
        return again(desk) or Proposal("refer", "", REFER, reason="the readings contradict each other")
    if suspicious(desk):
        doubt = again(desk)
        if doubt is not None:
            return doubt
        if _read_twice(desk):
            return Proposal("refer", "", REFER, reason="read again, and still nothing modelled explains it")
    advice = desk.advice
    aside = desk.state.not_known
    actions = [a for a in advice.actions if a.kind != "read again" and a.name not in aside]
    if actions[0].kind == "change of conditions" and _came_to_look(desk):
        if look := _look_here(desk):
            return look
        actions = [a for a in actions if a.kind != "change of conditions"]
    action = actions[0]
    reason = _reason(advice, action)
    if action.kind == "repair":
        order = tuple((s.option.repair.title, s.fixed_after, s.option.minutes) for s in advice.order)
        return replace(for_action(desk, action, reason), order=order if len(order) > 1 else ())
    if action.kind == "no fault found" and desk.state.repairs:
        return Proposal("hand over", "", "hand it over as it is", reason=reason)
    if action.kind == "no fault found" and (look := _seen_first(desk)):
        return look
    if action.kind in ("refer", "no fault found", "defer"):
        name = action.name if action.kind == "defer" else ""
        return Proposal(action.kind, name, action.title, reason=reason)
    return for_action(desk, action, reason)


def _seen_first(desk: Desk) -> Proposal | None:
    """Before nothing is said to be wrong: what was reported is looked at once more, where that is quickest.

    None if anything was looked at or checked, or nothing can be.
    """
    state, moments = desk.state, desk.state.course.timeline.moments
    if any(deed.what in ("look", "check") for deed in state.deeds):
        return None
    ways: list[tuple[float, str, dict[str, str]]] = []
    for reading in state.reported[: state.named]:
        wanted = words.differing(state.course.conditions, moments[reading.moment].conditions)
        there = carry_out(desk.model, state.course, Setting(wanted))
        if reading.sign in desk.model.indications and reading.sign not in state.not_known and there:
            ways.append((there.effort.minutes, reading.sign, wanted))
    if not ways:
        return None
    _, name, wanted = min(ways, key=lambda way: way[0])
    reason = "nothing is likely to be wrong; it is seen again before it is closed"
    if not wanted:
        return for_name(desk, "look", name, reason)
    title = f"to where it was seen, to look at {desk.model.indications[name].title}"
    return to_conditions(desk, wanted, title, reason)


def _came_to_look(desk: Desk) -> bool:
    """Whether conditions were changed and nothing was looked at since."""
    deeds = desk.state.deeds
    return bool(deeds) and deeds[-1].what == "set" and deeds[-1].readings[1] == len(desk.state.readings)


def _look_here(desk: Desk) -> Proposal | None:
    """The indication that tells most in these conditions, before one goes on to others; None if none does."""
    unread = [name for name in desk.model.indications if name in desk.belief.open]
    told = {name: desk.belief.open[name].bits for name in unread if name not in desk.state.not_known}
    best = max(told, key=lambda name: told[name], default="")
    if not best or told[best] < LEAST_BITS:
        return None
    return for_name(desk, "look", best, "this is where it shows; no single one decides, together they may")


def _reason(advice: Advice, action: Advised) -> str:
    """Why this action; what was said about the best one holds for no other."""
    if action == advice.action:
        return advice.reason
    return replace(advice, action=action, close_with=None, holds=True).reason


def for_action(desk: Desk, action: Advised, reason: str = "") -> Proposal:
    if action.kind != "change of conditions":
        return for_name(desk, action.kind, action.name, reason)
    values = desk.model.situations[action.name].values
    return to_conditions(desk, words.differing(desk.state.course.conditions, values), action.title, reason)


def to_conditions(desk: Desk, wanted: Mapping[str, str], title: str = "", reason: str = "") -> Proposal:
    """Bringing conditions to values, as a proposal; UsageError if it can not be done from here."""
    named = title or words.settings_words(desk.model, wanted)
    found = proposed(
        "set", next(iter(wanted), ""), named, carried(desk, Setting(wanted)).effort, desk, reason
    )
    needs = found.needs if title else _beyond(desk, found.needs, wanted)
    return replace(found, settings=dict(wanted), needs=needs)


def _beyond(desk: Desk, needs: tuple[str, ...], wanted: Mapping[str, str]) -> tuple[str, ...]:
    """What is needed besides that which is wanted itself."""
    said = {words.value_words(desk.model, name, value) for name, value in wanted.items()}
    return tuple(need for need in needs if need not in said)


def for_name(desk: Desk, kind: str, name: str, reason: str = "") -> Proposal:
    """Any check, look or repair as a proposal; UsageError if it can not be done from here."""
    if kind == "look":
        return Proposal("look", name, f"look at {desk.model.indications[name].title}", reason=reason)
    part = desk.model.checks[name] if kind == "check" else desk.model.repairs[name]
    return proposed(kind, name, part.title, carried(desk, part).effort, desk, reason)


def carried(desk: Desk, action: Action) -> Carried:
    """The action carried out from here; UsageError with the reason if it can not be."""
    if not isinstance(action, Setting) and not action.work.in_store:
        raise UsageError("There is no spare for that in the store.")
    found = carry_out(desk.model, desk.state.course, action)
    if found is None:
        raise UsageError("That can not be done from here: a condition it needs can not be brought about.")
    return found


def again(desk: Desk) -> Proposal | None:
    """A doubtful reading taken again, in the conditions it was read in; None if none can be."""
    state, model = desk.state, desk.model
    for reading in _doubted(desk):
        name, there = reading.sign, state.course.timeline.moments[reading.moment].conditions
        if name not in model.indications or _times_read(desk, reading) != 1:
            continue
        wanted = words.differing(state.course.conditions, there)
        if not wanted:
            reason = "a second look, by another person, parts a slip from a fault"
            return Proposal("look", name, f"look again at {model.indications[name].title}", reason=reason)
        if carry_out(model, state.course, Setting(wanted)) is not None:
            title = f"back to where it was seen, to look again at {model.indications[name].title}"
            return to_conditions(desk, wanted, title, "the readings do not go together")
    return None


def _read_twice(desk: Desk) -> bool:
    return any(_times_read(desk, reading) > 1 for reading in _doubted(desk))


def _times_read(desk: Desk, reading: Reading) -> int:
    """How often this was read in the same conditions since the last repair; 0 if it is older than that."""
    moments = desk.state.course.timeline.moments

    def of(place: int) -> tuple[int, object]:
        repairs = sum(any(work.cleared for work in moment.before) for moment in moments[: place + 1])
        return repairs, moments[place].settings

    if of(reading.moment)[0] != of(len(moments) - 1)[0]:
        return 0
    alike = of(reading.moment)
    return sum(r.sign == reading.sign and of(r.moment) == alike for r in desk.state.readings)


def suspicious(desk: Desk) -> tuple[str, ...]:
    """What to read again: readings that contradict, or that nothing modelled explains; the worst first."""
    return tuple(dict.fromkeys(reading.sign for reading in _doubted(desk)))


def _doubted(desk: Desk) -> tuple[Reading, ...]:
    belief = desk.belief
    if not belief.possible:
        return belief.contradiction
    if len(desk.state.readings) < 2 or belief.unexplained <= UNEXPLAINED:
        return ()
    return tuple(reading for reading, _ in belief.doubts[:MOST_DOUBTED])


def warning(desk: Desk) -> tuple[Said, ...]:
    """Stop and look again: what is said when the readings are not explained; empty if they are."""
    belief = desk.belief
    if not belief.possible:
        names = "; ".join(words.reading_words(desk.model, r) for r in belief.contradiction)
        return (Said(f"Stop: these readings cannot all be right: {names}. Take them again, undo, or refer."),)
    suspects = suspicious(desk)
    if not suspects:
        return ()
    chance = words.in_hundred(belief.unexplained)
    titles = ", ".join(sign_of(desk.model, name).title for name in suspects)
    text = (
        f"Stop: in {chance} of 100 such cases a reading is wrong or the cause is not in the model. "
        f"Take again first: {titles}. If it stays so, refer it and open the approved data."
    )
    return (Said(text),)
