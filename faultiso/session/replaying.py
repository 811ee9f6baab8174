"""A log as the state of its session: each event in turn, and nothing else, makes it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from faultiso.base.problems import FaultisoError
from faultiso.belief.evidence import Reading
from faultiso.belief.observed import reading_of, sign_of
from faultiso.model.parts import Check
from faultiso.model.system import Model
from faultiso.session import events as kinds
from faultiso.session.course import Course, Setting, begun, carry_out
from faultiso.session.events import Event
from faultiso.session.proving import plan_proof, shows_normal
from faultiso.session.state import Deed, Dispute, End, Named, Pick, Repaired, State, Stated
from faultiso.session.undo import standing_events
from faultiso.session.words import value_title


class Unreadable(FaultisoError):
    """A line of a log makes no sense for this model: the log and the model do not belong together."""


def replay(model: Model, entries: Iterable[tuple[int, Event]]) -> State:
    """The state after these numbered events; what ``undo`` withdrew counts for nothing.

    Unreadable if the events do not fit the model.
    """
    state = State(model)
    for number, event in standing_events(entries):
        state = apply(state, event, number)
    return state


def apply(state: State, event: Event, number: int = 0) -> State:
    """The state after one more event."""
    step = _STEPS.get(event.kind)
    if step is None:
        raise Unreadable(f"line {number}: this version does not know the event {event.kind!r}")
    try:
        return step(state, event.data, number)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, AssertionError) as error:
        raise Unreadable(f"line {number}: {event.kind}: does not fit the model ({error})") from None


Step = Callable[[State, Mapping[str, Any], int], State]


def _began(state: State, data: Mapping[str, Any], number: int) -> State:
    return replace(state, began={name: value for name, value in data.items() if name != "clock"})


def _differed(state: State, data: Mapping[str, Any], number: int) -> State:
    return replace(state, differs={**state.differs, **data["settings"]})


def _seen(state: State, data: Mapping[str, Any], number: int) -> State:
    course = state.course
    first = not state.situations
    course = begun(data["settings"]) if first else _there(course, data["settings"])
    situations = (*state.situations, data.get("situation", ""))
    return replace(state, phase="reports", course=course, situations=situations, differs={})


def _there(course: Course, settings: Mapping[str, str]) -> Course:
    """The same in other conditions, at no cost: it was so, nobody made it so."""
    standing = replace(course.standing, conditions=dict(settings))
    return replace(course, timeline=course.timeline.then(settings), standing=standing)


def _reported(state: State, data: Mapping[str, Any], number: int) -> State:
    state = _with_reading(state, data, state.course.timeline.now)
    return replace(state, reports=len(state.readings), named=len(state.readings), pick=None)


def _with_reading(state: State, data: Mapping[str, Any], moment: int) -> State:
    name, answer = data["sign"], data["answer"]
    reading = reading_of(sign_of(state.model, name), answer, moment)
    if reading is None:
        return replace(state, not_known=state.not_known | {name})
    kept = replace(reading, draw=_draw(state, reading))
    return replace(
        state,
        readings=(*state.readings, kept),
        typed=(*state.typed, data.get("words", str(answer))),
        not_known=state.not_known - {name},
    )


def _draw(state: State, reading: Reading) -> int:
    """Whose reading error it is: 0 who reported, 1 who works, above that a look that shows otherwise.

    The same person who sees the same again tells nothing new; an answer that differs was read anew.
    """
    if state.phase != "work":
        return 0
    earlier = [r for r in state.readings if r.sign == reading.sign and r.draw > 0]
    if not earlier:
        return 1
    last = earlier[-1]
    same = replace(reading, draw=last.draw, moment=last.moment) == last
    return last.draw if same else max(r.draw for r in earlier) + 1


def _reports_done(state: State, data: Mapping[str, Any], number: int) -> State:
    return replace(state, phase="others" if not state.others else "now", pick=None)


def _others(state: State, data: Mapping[str, Any], number: int) -> State:
    answer = data["answer"]
    if answer == "some":
        return replace(state, phase="reports")
    state = replace(state, others=answer, phase="now")
    if answer != "normal":
        return state
    for sign, outcome in data["normal"].items():
        state = _with_reading(state, {"sign": sign, "answer": outcome}, state.course.timeline.now)
    return replace(state, reports=len(state.readings))


def _placed(state: State, data: Mapping[str, Any], number: int) -> State:
    same = dict(state.course.conditions) == dict(data["settings"])
    course = (
        state.course
        if same and state.situations
        else (_there(state.course, data["settings"]) if state.situations else begun(data["settings"]))
    )
    return replace(state, course=course, phase="work", differs={})


def _picked(state: State, data: Mapping[str, Any], number: int) -> State:
    where = tuple(sorted(data.get("where", {}).items()))
    told = frozenset((hazard, where) for hazard in data.get("cautions", ()))
    pick = Pick(data["what"], data["name"], data.get("settings", {}), not told, told)
    shown = frozenset() if state.practises else told  # in practice they come with the question for "ready"
    return replace(_carried_if_ready(replace(state, pick=pick), number), told=state.told | shown)


def _ready(state: State, data: Mapping[str, Any], number: int) -> State:
    assert state.pick is not None
    told = state.told | state.pick.cautions
    return _carried_if_ready(replace(state, pick=replace(state.pick, ready=True), told=told), number)


def _carried_if_ready(state: State, number: int) -> State:
    """Bringing conditions to values asks for no answer: it is done as soon as nothing stands before it."""
    pick = state.pick
    if pick is None or not pick.ready:
        return state
    if pick.what in ("set", "restore"):
        return _changed(state, {"settings": pick.settings, "what": pick.what}, number)
    return _proof_begun(state, number) if pick.what == "verify" else state


def _dropped(state: State, data: Mapping[str, Any], number: int) -> State:
    return replace(state, pick=None)


def _changed(state: State, data: Mapping[str, Any], number: int) -> State:
    carried = carry_out(state.model, state.course, Setting(data["settings"]))
    if carried is None:
        raise ValueError("these conditions cannot be set from here")
    what = data.get("what", "set")
    settings = data["settings"]
    values = "; ".join(value_title(state.model, name, value) for name, value in settings.items())
    minutes = carried.effort.minutes
    deed = Deed(what, " ".join(settings), minutes, number, values, readings=_same(state))
    return replace(state, course=carried.after, pick=None, deeds=(*state.deeds, deed))


def _same(state: State) -> tuple[int, int]:
    return len(state.readings), len(state.readings)


def _read(state: State, data: Mapping[str, Any], number: int) -> State:
    if state.proving:
        return _proof_read(state, data, number)
    sign = sign_of(state.model, data["sign"])
    course = _visit(state, sign.name)
    before = len(state.readings)
    if not isinstance(sign, Check):
        after = _with_reading(replace(state, course=course), data, course.timeline.now)
        minutes = 0.0
    else:
        carried = carry_out(state.model, course, sign)
        if carried is None:
            raise ValueError("the needs of this check cannot be met")
        after = _with_reading(state, data, carried.read.timeline.now)
        after = replace(after, course=carried.after)
        minutes = carried.effort.minutes
    deed = Deed(
        "check" if isinstance(sign, Check) else "look",
        sign.name,
        minutes,
        number,
        data.get("words", ""),
        (before, len(after.readings)),
        after.course.timeline,
    )
    return replace(after, pick=None, deeds=(*state.deeds, deed))


def _visit(state: State, sign: str) -> Course:
    """Looking again at what was read in this visit is a visit of its own, if anything comes and goes."""
    now = state.course.timeline.now
    again = any(r.sign == sign and r.moment == now for r in state.readings)
    comes_and_goes = any(fault.intermittent for fault in state.model.faults.values())
    return state.course.looked_anew() if again and comes_and_goes else state.course


def _repaired(state: State, data: Mapping[str, Any], number: int) -> State:
    repair = state.model.repairs[data["repair"]]
    carried = carry_out(state.model, state.course, repair)
    if carried is None:
        raise ValueError("the needs of this repair cannot be met")
    reference = data.get("reference", "")
    deed = Deed("repair", repair.name, carried.effort.minutes, number, readings=_same(state))
    return replace(
        state,
        course=carried.after,
        pick=None,
        deeds=(*state.deeds, deed),
        repairs=(*state.repairs, Repaired(repair.name, reference)),
        references=(*state.references, reference) if reference else state.references,
    )


def _proof_begun(state: State, number: int) -> State:
    repair = state.repairs[-1]
    plan = plan_proof(state.model, state.course, repair.name, state.complaint, state.reported)
    if plan is None:
        raise ValueError("the repair cannot be verified from here")
    deed = Deed("verify", repair.name, plan.minutes, number, readings=_same(state))
    return replace(
        state,
        course=plan.course,
        pick=None,
        proving=plan.signs,
        deeds=(*state.deeds, deed),
        repairs=(*state.repairs[:-1], replace(repair, plan=plan, proof="" if plan.signs else "passed")),
    )


def _proof_read(state: State, data: Mapping[str, Any], number: int) -> State:
    plan = state.repairs[-1].plan
    assert plan is not None
    before = len(state.readings)
    after = _with_reading(state, data, plan.moment_of(data["sign"]))
    left = tuple(name for name in state.proving if name != data["sign"])
    deed = state.deeds[-1]
    words = f"{deed.answer}; {data.get('words', '')}" if deed.answer else data.get("words", "")
    deed = replace(deed, answer=words, readings=(deed.readings[0], len(after.readings)))
    repair = _judged(state, after, data["sign"], known=len(after.readings) > before)
    if not left and not repair.proof:
        repair = replace(repair, proof="passed")
    return replace(
        after,
        proving=left,
        pick=None,
        deeds=(*state.deeds[:-1], replace(deed, timeline=after.course.timeline)),
        repairs=(*state.repairs[:-1], repair),
    )


def _judged(state: State, after: State, sign: str, known: bool) -> Repaired:
    repair = state.repairs[-1]
    if not known:
        return repair if repair.proof == "failed" else replace(repair, proof="not known")
    assert repair.plan is not None
    if shows_normal(state.model, after.readings[-1], repair.plan.conditions_of(sign)):
        return repair
    return replace(repair, proof="failed")


def _inspected(state: State, data: Mapping[str, Any], number: int) -> State:
    return replace(state, repairs=(*state.repairs[:-1], replace(state.repairs[-1], inspected=data["answer"])))


def _noted(state: State, data: Mapping[str, Any], number: int) -> State:
    return replace(state, notes=(*state.notes, data["text"]))


def _referenced(state: State, data: Mapping[str, Any], number: int) -> State:
    return replace(state, references=(*state.references, data["text"]))


def _asked(state: State, data: Mapping[str, Any], number: int) -> State:
    """Somebody was asked: words, no reading."""
    return _spent(state, "ask", data["whom"], float(data["minutes"]), number)


def _hinted(state: State, data: Mapping[str, Any], number: int) -> State:
    after = _spent(state, "hint", str(data["number"]), float(data["minutes"]), number)
    return replace(after, hints=int(data["number"]))


def _spent(state: State, what: str, name: str, minutes: float, number: int) -> State:
    course = state.course
    later = replace(course, minutes=course.minutes + minutes, man_minutes=course.man_minutes + minutes)
    deed = Deed(what, name, minutes, number, readings=_same(state))
    return replace(state, course=later, deeds=(*state.deeds, deed))


def _believed(state: State, data: Mapping[str, Any], number: int) -> State:
    says = {str(name): float(percent) for name, percent in data["says"].items()}
    stated = Stated(says, data.get("before", ""), len(state.deeds), number)
    return replace(state, beliefs=(*state.beliefs, stated))


def _hazards(state: State, data: Mapping[str, Any], number: int) -> State:
    pick = state.pick
    assert pick is not None
    cautions = tuple(sorted(name for name, _ in pick.cautions))
    name = " ".join(pick.settings) or pick.name
    named = Named(
        pick.what, name, len(state.deeds), tuple(data["named"]), tuple(data["offered"]), cautions, number
    )
    return replace(state, pick=replace(pick, named=True), hazards=(*state.hazards, named))


def _disputed(state: State, data: Mapping[str, Any], number: int) -> State:
    dispute = Dispute(int(data["line"]), data["sign"], data["text"], number)
    return replace(state, disputes=(*state.disputes, dispute))


def _left(state: State, data: Mapping[str, Any], number: int) -> State:
    return state


def _resumed(state: State, data: Mapping[str, Any], number: int) -> State:
    """Whoever goes on has seen no caution yet."""
    return replace(state, told=frozenset())


def _ended(state: State, data: Mapping[str, Any], number: int) -> State:
    end = End(data["how"], data["what"], tuple(data.get("open", ())), str(data.get("line", "")))
    return replace(state, end=end, phase="ended", pick=None)


_STEPS: Mapping[str, Step] = {
    kinds.BEGAN: _began,
    kinds.DIFFERED: _differed,
    kinds.SEEN: _seen,
    kinds.REPORTED: _reported,
    kinds.REPORTS_DONE: _reports_done,
    kinds.OTHERS: _others,
    kinds.PLACED: _placed,
    kinds.PICKED: _picked,
    kinds.READY: _ready,
    kinds.DROPPED: _dropped,
    kinds.READ: _read,
    kinds.CHANGED: _changed,
    kinds.REPAIRED: _repaired,
    kinds.INSPECTED: _inspected,
    kinds.NOTED: _noted,
    kinds.REFERENCED: _referenced,
    kinds.ASKED: _asked,
    kinds.HINTED: _hinted,
    kinds.BELIEVED: _believed,
    kinds.HAZARDS: _hazards,
    kinds.DISPUTED: _disputed,
    kinds.VOTED: _left,
    kinds.LEFT: _left,
    kinds.RESUMED: _resumed,
    kinds.ENDED: _ended,
}
