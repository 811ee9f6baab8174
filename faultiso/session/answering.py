"""From a line to what happened: one handler for each question. Each says back what it understood."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from faultiso.base.numbers import Ambiguous, NotKnown, Understood
from faultiso.base.problems import UsageError
from faultiso.base.text import one_line
from faultiso.belief.evidence import Reading, weights
from faultiso.belief.observed import sign_of
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.asking import findable, now_default
from faultiso.session.course import carry_out
from faultiso.session.desk import Desk
from faultiso.session.ending import defer, finish, hand_over, no_fault_found, refer
from faultiso.session.prompt import Choices, Meaning, Nothing, Offer, Pick, Slip, understand
from faultiso.session.replies import Listing, Proposal, Reply, Said, Warned
from faultiso.session.search import Findable, search
from faultiso.session.views import carried, for_name, proposal, restore_of, to_conditions

Replies = tuple[Reply, ...]


def answer(desk: Desk, name: str, meaning: Meaning, line: str) -> Replies:
    """What a line does at the question of that name. UsageError: one sentence, and the same question."""
    if name in _ANY_LINE:
        return _ANY_LINE[name](desk, meaning, line)
    if isinstance(meaning, Slip):
        if name == "reports" and (whole := _whole_report(desk, line)):
            return whole
        raise UsageError(meaning.sentence)
    if isinstance(meaning, Choices):
        return offered(desk, meaning)
    return _HANDLERS[name](desk, meaning, line)


def offered(desk: Desk, found: Choices) -> Replies:
    """A numbered list; the next number picks from it."""
    desk.choices = found.things
    return (
        Listing(
            tuple((thing.title, thing.note or _cost(desk, thing.name)) for thing in found.things),
            hint=found.hint,
        ),
    )


def _cost(desk: Desk, name: str) -> str:
    """The minutes of a check or a repair from here, or why it has none."""
    part = desk.model.checks.get(name) or desk.model.repairs.get(name)
    if part is None or desk.state.phase != "work":
        return ""
    found = carry_out(desk.model, desk.state.course, part)
    return words.minutes_words(found.effort.minutes) if found else "not from here"


# where it was, and where it is


def _seen(desk: Desk, meaning: Meaning, line: str) -> Replies:
    kind = kinds.SEEN if desk.state.phase == "seen" else kinds.PLACED
    match meaning:
        case Nothing() if kind == kinds.PLACED:
            return _placed(desk, kind, now_default(desk))
        case Nothing():
            raise UsageError("A number, letters of a situation, or quit. Nothing is assumed here.")
        case Pick(thing) if "=" in thing.name:
            condition, _, value = thing.name.partition("=")
            desk.record(kinds.DIFFERED, settings={condition: value})
            return (Said(f"{thing.title}. And otherwise it was as in:"),)
        case Pick(thing):
            return _placed(desk, kind, thing.name)
    raise UsageError("Without this nothing can be judged: take the situation that comes nearest.")


def _placed(desk: Desk, kind: str, situation: str) -> Replies:
    part = desk.model.situations[situation]
    settings = {**part.values, **desk.state.differs}
    differs = words.settings_words(desk.model, desk.state.differs)
    desk.record(kind, settings=settings, situation=situation)
    return (Said(f"{words.capital(part.title)}{'; ' + differs if differs else ''}.", indent=2),)


# what was reported


def _reports(desk: Desk, meaning: Meaning, line: str) -> Replies:
    match meaning:
        case Nothing():
            desk.record(kinds.REPORTS_DONE)
            return ()
        case Pick(thing):
            desk.record(kinds.PICKED, what="report", name=thing.name)
            return ()
    raise UsageError("A few letters of a light, a gauge, a sound or a trace; empty when done.")


def _whole_report(desk: Desk, line: str) -> Replies:
    """ "pump 1 caution lit": a sign and its answer in one line; nothing if it cannot be read so."""
    parts = one_line(line.replace("=", " ")).split()
    things = tuple(findable(sign) for sign in desk.model.indications.values())
    for cut in range(len(parts) - 1, 0, -1):
        found = search(" ".join(parts[:cut]), things)
        if len(found) != 1:
            continue
        sign = desk.model.indications[found[0].name]
        titles = tuple(Findable(o, words.outcome_words(sign, o)) for o in sign.outcomes)
        offer = Offer((), things=titles, unit=sign.unit if sign.ranges else None)
        meant = understand(" ".join(parts[cut:]), offer)
        if isinstance(meant, Pick | Understood | Ambiguous):
            desk.record(kinds.PICKED, what="report", name=sign.name)
            return _outcome(desk, meant, line)
    return ()


def _others(desk: Desk, meaning: Meaning, line: str) -> Replies:
    match meaning:
        case Pick(thing):
            return others(desk, thing.name)
        case NotKnown():
            return others(desk, "unknown")
    raise UsageError("1, 2 or 3: what nobody looked at is never taken as normal, so this has to be said.")


def others(desk: Desk, chosen: str) -> Replies:
    """What the unreported indications are: normal, unknown, or some still to be named."""
    if chosen != "normal":
        desk.record(kinds.OTHERS, answer=chosen)
        return ()
    from faultiso.model.expected import expected

    state = desk.state
    seen = {reading.sign for reading in state.readings if reading.moment == state.course.timeline.now}
    normal = expected(desk.model, state.course.conditions)
    rest = {name: normal[name] for name in desk.model.indications if name not in seen | state.not_known}
    desk.record(kinds.OTHERS, answer="normal", normal=rest)
    return (Said(f"{len(rest)} others: each as it should be in that condition.", indent=2),)


# an outcome


def _outcome(desk: Desk, meaning: Meaning, line: str) -> Replies:
    pick = desk.state.pick
    name = pick.name if pick else desk.state.proving[0]
    sign = sign_of(desk.model, name)
    match meaning:
        case NotKnown():
            return _read(desk, name, None, line)
        case Pick(thing):
            return _read(desk, name, thing.name, line)
        case Understood(value, _, shown):
            return _number(desk, name, value, shown, line)
        case Ambiguous(text, _):
            raise UsageError(text)
    expected = ", ".join(words.outcome_words(sign, outcome) for outcome in sign.outcomes)
    raise UsageError(f"An answer is wanted: {expected}, or nk for not known; undo goes back.")


def _number(desk: Desk, name: str, value: float, shown: str, line: str) -> Replies:
    sign = sign_of(desk.model, name)
    weights(Reading(name, number=value), sign)  # UsageError if it fits no level
    said = f"{shown}: {words.answer_words(sign, value).rpartition(': ')[2]}."
    return (Said(said, indent=2), *_read(desk, name, value, line))


def _read(desk: Desk, name: str, value: Any, line: str) -> Replies:
    sign = sign_of(desk.model, name)
    pick = desk.state.pick
    kind = kinds.REPORTED if pick is not None and pick.what == "report" else kinds.READ
    before = desk.state
    said = words.answer_words(sign, value)
    desk.record(kind, sign=name, answer=value, typed=one_line(line), words=said)
    replies: Replies = ()
    if isinstance(value, str):
        replies = (Said(f"{words.capital(sign.title)}: {said}.", indent=2),)
    if value is None:
        spent = desk.state.minutes - before.minutes
        cost = f" The {words.minutes_words(spent)} count; undo takes them back." if spent else ""
        replies = (Said(f"Not known: no evidence.{cost}", indent=2),)
    if before.proving and not desk.state.proving:
        return (*replies, _proof_words(desk))
    return replies


def _proof_words(desk: Desk) -> Said:
    last = desk.state.repairs[-1]
    title = desk.model.repairs[last.name].title
    missing = last.plan.not_as_seen if last.plan else ()
    match last.proof:
        case "passed":
            but = ", ".join(desk.model.conditions[name].title for name in missing)
            return Said(f"Proved: {title}." + (f" Not as in the complaint: {but}." if but else ""))
        case "failed":
            return Said(
                f"Not proved: what was complained of is still there, or something new is. "
                f"{words.capital(title)} did not end it."
            )
    return Said("Not proved: not every sign of the complaint was read.")


# doing something


def _ready(desk: Desk, meaning: Meaning, line: str) -> Replies:
    match meaning:
        case _ if line.strip().casefold() == "ready":
            return _went(desk, kinds.READY)
        case Nothing():
            desk.record(kinds.DROPPED)
            return (Said("Not done. Choose again.", indent=2),)
    raise UsageError("Only the word ready, in full, goes past a caution; Enter chooses again.")


def _went(desk: Desk, kind: str, /, **data: Any) -> Replies:
    """Record a step that may itself change conditions, and say which."""
    before = desk.state
    desk.record(kind, **data)
    if desk.state.pick is not None:
        return ()
    changed = words.differing(before.course.conditions, desk.state.course.conditions)
    minutes = words.minutes_words(desk.state.minutes - before.minutes)
    said = words.settings_words(desk.model, changed)
    return (Said(f"{words.capital(said)}. {minutes}.", indent=2),) if said else ()


def take_up(desk: Desk, chosen: Proposal, said: bool = False) -> Replies:
    """Begin with something: its cautions are shown; with none it goes on at once.

    ``said``: what it takes is on the screen already.
    """
    if chosen.kind == "defer":
        return defer(desk, chosen.name)
    if chosen.kind in _ENDS:
        return _ENDS[chosen.kind](desk)
    said = said or chosen == proposal(desk)
    return begin_with(desk, chosen, echo=not said)


def begin_with(desk: Desk, chosen: Proposal, echo: bool) -> Replies:
    """Take something up, whatever is proposed: what it takes, if that is to be said, and its cautions."""
    where = _where(desk, chosen)
    key = tuple(sorted(where.items()))
    cautions = [name for name in chosen.cautions if name in desk.model.cautions]
    again = tuple(name for name in cautions if (name, key) in desk.state.told)
    warned = Warned(tuple(name for name in cautions if name not in again), again)
    taken = (replace(chosen, chosen=True),) if echo and chosen.kind != "look" else ()
    shown = (*taken, *((warned,) if cautions else ()))
    went = _went(
        desk,
        kinds.PICKED,
        what=chosen.kind,
        name=chosen.name,
        settings=dict(chosen.settings),
        cautions=list(cautions),
        where=dict(where),
    )
    return (*shown, *went)


def _where(desk: Desk, chosen: Proposal) -> Mapping[str, str]:
    """The conditions in which the work is done: a caution belongs to them."""
    part = desk.model.checks.get(chosen.name) or desk.model.repairs.get(chosen.name)
    if part is None or chosen.kind not in ("check", "repair"):
        return desk.state.course.conditions
    return carried(desk, part).effort.standing.conditions


def set_conditions(desk: Desk, settings: Mapping[str, str], echo: bool = False) -> Replies:
    """Bring conditions to values: the ``set`` command; ``echo``: whatever is proposed, say what it takes."""
    chosen = to_conditions(desk, settings)
    return begin_with(desk, chosen, echo=True) if echo else take_up(desk, chosen)


def _work(desk: Desk, meaning: Meaning, line: str) -> Replies:
    match meaning:
        case Nothing():
            return take_up(desk, proposal(desk), said=True)
        case Pick(thing):
            return do(desk, thing.name)
        case NotKnown():
            raise UsageError("nk answers a question about a reading; here choose what to do next.")
    raise UsageError("Letters of a check, a look or a repair, Enter for what is proposed, or help.")


def do(desk: Desk, name: str) -> Replies:
    """Begin with the check, look, repair, ending or restoring of that name."""
    if name in desk.model.conditions:
        return take_up(desk, restore_of(desk, name))
    if name in _ENDS:
        return _ENDS[name](desk)
    kind = "check" if name in desk.model.checks else "look" if name in desk.model.indications else "repair"
    return take_up(desk, for_name(desk, kind, name))


def _reference(desk: Desk, meaning: Meaning, line: str) -> Replies:
    """Any line is the reference, kept as typed."""
    pick = desk.state.pick
    assert pick is not None
    known = not isinstance(meaning, Nothing | NotKnown)
    desk.record(
        kinds.REPAIRED, repair=pick.name, reference=one_line(line, 500) if known else "", offered=known
    )
    title = desk.model.repairs[pick.name].title
    return (Said(f"{words.capital(title)}: done. Not proven yet.", indent=2),)


def _inspection(desk: Desk, meaning: Meaning, line: str) -> Replies:
    match meaning:
        case Pick(thing):
            desk.record(kinds.INSPECTED, answer=thing.name)
            return ()
        case NotKnown():
            desk.record(kinds.INSPECTED, answer="not yet")
            return ()
    raise UsageError("1 inspected, 2 not yet.")


Handler = Callable[[Desk, Meaning, str], Replies]
_ANY_LINE: Mapping[str, Handler] = {"ready": _ready, "reference": _reference}  # nothing is a slip there
_HANDLERS: Mapping[str, Handler] = {
    "seen": _seen,
    "now": _seen,
    "reports": _reports,
    "others": _others,
    "outcome": _outcome,
    "proof": _outcome,
    "inspection": _inspection,
    "work": _work,
}
_ENDS: Mapping[str, Callable[[Desk], Replies]] = {
    "finish": finish,
    "hand over": hand_over,
    "no fault found": no_fault_found,
    "refer": refer,
}
