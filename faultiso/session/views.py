"""What is shown of belief and advice: who leads, and what is proposed next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from faultiso.base.problems import UsageError
from faultiso.model.effort import Effort
from faultiso.session import words
from faultiso.session.course import Action, Carried, Setting, carry_out
from faultiso.session.desk import Desk
from faultiso.session.proving import plan_proof
from faultiso.session.replies import Leader, Leaders, Proposal, Said
from faultiso.session.state import State

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.planning.advice import Action as Advised

MOST_LEADERS = 4
WORTH_SHOWING = 0.01
UNEXPLAINED = 0.5


def leaders(desk: Desk, belief: Belief) -> Leaders:
    """The leading sets of faults with the reading that speaks most for each."""
    named = [d for d in belief.diagnoses if d.faults and d.probability >= WORTH_SHOWING][:MOST_LEADERS]
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

    found = [reasons(belief, name).supporting[:1] for name in faults]
    names = dict.fromkeys(words.reading_words(desk.model, w.reading) for best in found for w in best)
    return ", ".join(names)


# what is proposed


def proposal(desk: Desk) -> Proposal:
    """The next action, at any moment of the work."""
    return _after_repair(desk) or _by_advice(desk)


def _after_repair(desk: Desk) -> Proposal | None:
    state = desk.state
    last = state.last_repair
    if last is None or last.proof == "failed":
        return None
    if last.proof == "":
        return proof_proposal(desk)
    if last.proof == "not known":
        return None if _work_is_left(desk) else finish_proposal(desk)
    return restore_proposal(desk) or finish_proposal(desk)


def _work_is_left(desk: Desk) -> bool:
    return desk.belief.possible and desk.advice.action.kind != "refer"


def finish_proposal(desk: Desk) -> Proposal:
    return Proposal("finish", "", "close the work", reason=finding(desk))


def finding(desk: Desk) -> str:
    """What stands at the end, in a few words."""
    repair = desk.state.last_repair
    if repair is not None and repair.proof == "passed":
        return f"{desk.model.repairs[repair.name].title}: done and proved"
    return "nothing is proved yet"


def restore_proposal(desk: Desk) -> Proposal | None:
    """What has to go back to where it was, first one first."""
    return next((restore_of(desk, name) for name in desk.state.unrestored), None)


def restore_of(desk: Desk, name: str) -> Proposal:
    """Bringing one condition back to where it was."""
    condition = desk.model.conditions[name]
    title = f"restore: {words.value_words(desk.model, name, condition.start)}"
    carried = carry_out(desk.model, desk.state.course, Setting({name: condition.start}))
    if carried is None:
        return Proposal("hand over", name, title, reason="it can not be restored from here")
    still = words.value_words(desk.model, name, desk.state.course.conditions[name])
    found = proposed("restore", name, title, carried.effort, desk, f"now {still}")
    return replace(found, settings={name: condition.start})


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
        plan.who,
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
    who = tuple(desk.model.people[w].title if w in desk.model.people else w for w in effort.who)
    return Proposal(
        kind, name, title, effort.minutes, effort.people, who, tuple(things), effort.hazards, reason
    )


def _in_words(desk: Desk, settings: dict[str, str]) -> tuple[str, ...]:
    return tuple(words.value_words(desk.model, name, value) for name, value in settings.items())


def _by_advice(desk: Desk) -> Proposal:
    """The best action that was not set aside, as a proposal."""
    doubt = doubted(desk)
    if doubt is not None:
        return doubt
    if not desk.belief.possible:
        return Proposal("refer", "", "stop and refer", reason="the readings contradict each other")
    advice = desk.advice
    action = next(a for a in advice.actions if a.name not in desk.state.not_known or a.kind == "refer")
    reason = replace(advice, action=action).reason
    if action.kind == "repair":
        order = tuple((s.option.repair.title, s.fixed_after, s.option.minutes) for s in advice.order)
        return replace(for_action(desk, action, reason), order=order if len(order) > 1 else ())
    if action.kind in ("refer", "no fault found"):
        return Proposal(action.kind, "", action.title, reason=reason)
    return for_action(desk, action, reason)


def for_action(desk: Desk, action: Advised, reason: str = "") -> Proposal:
    return for_name(desk, action.kind, action.name, reason)


def for_name(desk: Desk, kind: str, name: str, reason: str = "") -> Proposal:
    """Any check, look or repair as a proposal; UsageError if it can not be done from here."""
    if kind == "look":
        return Proposal("look", name, f"look at {desk.model.indications[name].title}", reason=reason)
    part = desk.model.checks[name] if kind == "check" else desk.model.repairs[name]
    return proposed(kind, name, part.title, carried(desk, part).effort, desk, reason)


def carried(desk: Desk, action: Action) -> Carried:
    """The action carried out from here; UsageError with the reason if it can not be."""
    found = carry_out(desk.model, desk.state.course, action)
    if found is None:
        raise UsageError("That can not be done from here: a condition it needs can not be brought about.")
    return found


def doubted(desk: Desk) -> Proposal | None:
    """A reading to be taken again, in the conditions it was seen in, where the readings do not go together."""
    state, model = desk.state, desk.model
    for name in suspicious(desk):
        if name not in model.indications or sum(r.sign == name for r in state.readings) > 1:
            continue
        wanted = words.differing(state.course.conditions, state.complaint)
        if not wanted:
            reason = "the readings do not go together; a second look parts a slip from a fault"
            return Proposal("look", name, f"look again at {model.indications[name].title}", reason=reason)
        there = carry_out(model, state.course, Setting(wanted))
        if there is not None:
            title = f"back to where it was seen, to look again at {model.indications[name].title}"
            found = proposed("set", next(iter(wanted)), title, there.effort, desk)
            return replace(found, settings=wanted, reason="the readings do not go together")
    return None


def suspicious(desk: Desk) -> tuple[str, ...]:
    """The readings to be taken again: those that contradict, or without which the rest would be explained."""
    belief = desk.belief
    if not belief.possible:
        return tuple(reading.sign for reading in belief.contradiction)
    if len(desk.state.readings) < 2 or belief.unexplained <= UNEXPLAINED:
        return ()
    return most_doubtful(desk.state, desk)


def most_doubtful(state: State, desk: Desk) -> tuple[str, ...]:
    """Readings, the one first without which the others are explained best."""
    doubts = []
    for place, reading in enumerate(state.readings):
        rest = (*state.readings[:place], *state.readings[place + 1 :])
        without = desk.wake().belief(state.course.timeline, rest, state.course.standing)
        doubts.append((without.unexplained if without.possible else 1.0, place, reading.sign))
    return tuple(dict.fromkeys(sign for _, _, sign in sorted(doubts)))


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
    titles = [
        sign.title
        for name in suspects[:2]
        for sign in [desk.model.indications.get(name) or desk.model.checks[name]]
    ]
    text = (
        f"Stop: in {chance} of 100 such cases a reading is wrong or the cause is not in the model. "
        f"Take again first: {', '.join(titles)}. If it stays so, refer it and open the approved data."
    )
    return (Said(text),)
