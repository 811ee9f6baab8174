"""The commands of a session at work. Each gives replies; only what happens is recorded."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from faultiso.base.problems import UsageError
from faultiso.belief.observed import reading_of, sign_of
from faultiso.model.parts import Check, Fault, Indication
from faultiso.model.system import Model
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.answering import do, offered, set_conditions, take_up
from faultiso.session.asking import findable, work_things
from faultiso.session.desk import Desk, events_of
from faultiso.session.ending import defer, finish, refer
from faultiso.session.prompt import MOST_SHOWN, Choices, Command
from faultiso.session.ranking import ranking
from faultiso.session.replies import Facts, Grid, Listing, Reply, Said
from faultiso.session.search import Findable, search
from faultiso.session.undo import to_withdraw
from faultiso.session.views import ENOUGH_DECIBANS, leaders, proof_proposal, proposal, restore_of

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.belief.explain import Witness

Replies = tuple[Reply, ...]

HELP = (
    ("letters", "find a check, a look or a repair; a number picks from the list"),
    ("Enter", "takes what is proposed, never past a caution"),
    ("nk", "not known, at every question"),
    ("why", "why this is proposed; why and a fault: what speaks for and against it"),
    ("rank", "all checks, what each is worth"),
    ("if NAME=OUTCOME", "what would be believed then; nothing is recorded"),
    ("set", "bring a condition to a value: set, its letters, the value"),
    ("restore", "put back what work left set"),
    ("repair, verify", "change or service something; prove it"),
    ("finish, defer, refer", "end the work"),
    ("note, ref", "a line for the record; approved data you would open"),
    ("undo, quit", "withdraw the last answer; save and leave"),
)


def run(desk: Desk, command: Command) -> Replies:
    """What a command does. UsageError: one sentence, and the same question."""
    return _COMMANDS[command.name](desk, command.rest)


def _help(desk: Desk, rest: str) -> Replies:
    return (Facts("What can be typed", HELP),)


def _note(desk: Desk, rest: str) -> Replies:
    if not rest:
        raise UsageError("note, then the line that is to stand in the record.")
    desk.record(kinds.NOTED, text=rest)
    return (Said("Noted.", indent=2),)


def _reference(desk: Desk, rest: str) -> Replies:
    if not rest:
        raise UsageError("ref, then the chapter or task that you would open.")
    desk.record(kinds.REFERENCED, text=rest)
    return (Said("Kept as typed.", indent=2),)


def _undo(desk: Desk, rest: str) -> Replies:
    found = to_withdraw(events_of(desk.log.entries))
    if found is None:
        raise UsageError("There is nothing to withdraw.")
    line, event = found
    desk.record(kinds.UNDONE, line=line)
    minutes = words.minutes_words(desk.state.minutes)
    what = _event_words(desk, event.kind, event.data)
    return (Said(f"Withdrawn: {what}; back to {minutes}. The log keeps both lines."),)


def _event_words(desk: Desk, kind: str, data: Mapping[str, object]) -> str:
    if kind in (kinds.REPORTED, kinds.READ):
        return f"{sign_of(desk.model, str(data['sign'])).title} {data.get('words', '')}"
    if kind == kinds.REPAIRED:
        return desk.model.repairs[str(data["repair"])].title
    if kind in (kinds.PICKED, kinds.READY):
        return "the choice of what to do"
    return _PLAIN.get(kind, "the last answer")


_PLAIN = {
    kinds.SEEN: "the situation when it was seen",
    kinds.PLACED: "the situation now",
    kinds.OTHERS: "what the others showed",
    kinds.REPORTS_DONE: "the end of the reports",
    kinds.DIFFERED: "what differs",
    kinds.INSPECTED: "the inspection",
}


def _quit(desk: Desk, rest: str) -> Replies:
    desk.record(kinds.LEFT)
    return (Said("Saved. Go on with: faultiso resume"),)


# what the readings say


def _why(desk: Desk, rest: str) -> Replies:
    if not rest:
        return _why_next(desk)
    model = desk.model
    things = [_findable_fault(model, fault) for fault in model.faults.values()]
    things += [findable(i) for i in model.indications.values()]
    found = search(rest, things)
    if not found:
        raise UsageError(f'No fault and no indication is called "{rest[:40]}".')
    faults = [thing.name for thing in found if thing.name in model.faults]
    if not faults:
        return _why_silent(desk, found[0].name)
    return _why_fault(desk, max(faults, key=lambda name: desk.belief.faults[name]))


def _findable_fault(model: Model, fault: Fault) -> Findable:
    """A fault by its title, and by every other word for its component."""
    return Findable(
        fault.name,
        words.fault_words(model, fault.name),
        (*fault.also, *model.components[fault.component].also),
    )


def _why_next(desk: Desk) -> Replies:
    chosen = proposal(desk)
    advice = desk.advice
    rows = tuple(
        (action.title, words.minutes_words(action.minutes), words.minutes_words(action.expected_minutes))
        for action in advice.actions[:5]
    )
    said = Said(f"{words.capital(chosen.title)}: {chosen.reason or 'it comes next'}.")
    grid = Grid(
        "Minutes to a verified fix, on average",
        ("", "itself", "to the end"),
        ("text", "minutes", "minutes"),
        rows,
    )
    return (said, grid)


def _why_silent(desk: Desk, name: str) -> Replies:
    from faultiso.belief.explain import silence
    from faultiso.model.silence import hushed

    title = desk.model.indications[name].title
    conditions = desk.state.course.conditions
    found = silence(desk.model, name, conditions) or hushed(desk.model, name, conditions)
    if found is None:
        return (
            Said(
                f"{words.capital(title)} can speak in these conditions. {desk.model.indications[name].about}"
            ),
        )
    shown = words.outcome_words(desk.model.indications[name], found.outcome)
    because = words.settings_words(desk.model, found.because) or "these conditions"
    return (Said(f"{words.capital(title)}: {shown} tells nothing now, it is kept quiet ({because})."),)


def _why_fault(desk: Desk, fault: str) -> Replies:
    from faultiso.belief.explain import reasons, strength

    model = desk.model
    found = reasons(desk.belief, fault)
    pairs = [("chance", f"{words.in_hundred(found.probability)} in 100")]
    pairs += _witnesses(model, "for", found.supporting)
    if found.together >= ENOUGH_DECIBANS:
        weight = f"{strength(found.together)} ({found.together:+.0f} dB)"
        pairs.append(("together", f"what no reading says alone: {weight}"))
    pairs += _witnesses(model, "against", found.opposing)
    silent = [model.indications[s.name].title for s in found.silent]
    if silent:
        pairs.append(("silent now", ", ".join(silent[:6]) + (", ..." if len(silent) > 6 else "")))
    for item in found.predicts[:2]:
        sign = sign_of(model, item.name)
        text = f"{sign.title} {words.outcome_words(sign, item.outcome)}"
        pairs.append(("it would show", f"{text} ({words.in_hundred(item.chance)} in 100)"))
    return (Facts(words.capital(words.fault_words(model, fault)), (*pairs, *_settling(desk, fault))),)


def _witnesses(model: Model, name: str, witnesses: Sequence[Witness]) -> list[tuple[str, str]]:
    """The readings on one side, each with how much it weighs."""
    texts = [
        f"{words.reading_words(model, w.reading)}: {w.strength} ({w.decibans:+.0f} dB)" for w in witnesses[:4]
    ]
    return [(name, text) for text in texts] or [(name, "no reading alone")]


def _settling(desk: Desk, fault: str) -> tuple[tuple[str, str], ...]:
    """What would settle the fault against the best of the others."""
    from faultiso.belief.explain import settles

    rival = next((d for d in desk.belief.leaders if d.faults and d.faults != (fault,)), None)
    if rival is None:
        return ()
    try:
        found = settles(desk.belief, frozenset((fault,)), frozenset(rival.faults))
    except UsageError:
        return ()
    against = f"against {words.set_words(desk.model, rival.faults)}"
    if not found:
        return (("to settle it", f"{against}: nothing that is left"),)
    best = sign_of(desk.model, found[0].name)
    return (("to settle it", f"{against}: {best.title}, {words.minutes_words(found[0].minutes)}"),)


def _rank(desk: Desk, rest: str) -> Replies:
    return ranking(desk)


def _if(desk: Desk, rest: str) -> Replies:
    """What would be believed if a sign showed something; nothing is recorded."""
    name, sign_mark, outcome = rest.partition("=")
    if not sign_mark:
        example = next(iter(desk.model.indications.values()))
        said = words.outcome_words(example, example.outcomes[-1])
        raise UsageError(f"if, then NAME=OUTCOME: if {example.title}={said}.")
    signs = [findable(sign) for sign in desk.model.signs()]
    found = search(name, signs)
    if not found:
        raise UsageError(f'Nothing that can be read is called "{name.strip()[:40]}".')
    sign = sign_of(desk.model, found[0].name)
    belief = _supposed(desk, sign.name, outcome.strip())
    said = f"If {sign.title} {words.answer_words(sign, _as_outcome(sign, outcome.strip()))}:"
    if not belief.possible:
        return (Said(f"{said} that cannot be, after what has been read."),)
    return (Said(said), *_where_said(desk, sign.name, belief), leaders(desk, belief))


def _where_said(desk: Desk, name: str, belief: Belief) -> Replies:
    """In which conditions it would be read, if that is not here."""
    there = belief.timeline.moments[-1].conditions
    differs = words.differing(desk.state.course.conditions, there)
    if differs:
        return (Said(f"read with {words.settings_words(desk.model, differs)}", indent=2, quiet=True),)
    if name in desk.model.indications and _silent(desk, name):
        return (
            Said("it tells nothing in the present conditions; set brings others about", indent=2, quiet=True),
        )
    return ()


def _silent(desk: Desk, name: str) -> bool:
    from faultiso.belief.explain import silence

    return silence(desk.model, name, desk.state.course.conditions) is not None


def _as_outcome(sign: Indication | Check, text: str) -> str:
    titles = [Findable(o, words.outcome_words(sign, o)) for o in sign.outcomes]
    found = search(text, titles)
    return found[0].name if found else text


def _supposed(desk: Desk, name: str, text: str) -> Belief:
    sign = sign_of(desk.model, name)
    prospect = desk.belief.prospects.get(name)
    timeline = prospect.timeline if prospect else desk.belief.timeline
    reading = reading_of(sign, _as_outcome(sign, text), timeline.now)
    readings = (*desk.belief.readings, reading) if reading else desk.belief.readings
    return desk.wake().belief(timeline, readings)


# doing


def _set(desk: Desk, rest: str) -> Replies:
    """``set engine 1 idle``: words of a condition, then words of one of its values."""
    places, things = settable_things(desk)
    found = search(rest.replace("=", " "), (*places, *things)) if rest else places
    if not found:
        raise UsageError("set, then letters of a condition and of its value: set mains on.")
    if len(found) > 1:
        return offered(desk, Choices(found[:MOST_SHOWN], max(0, len(found) - MOST_SHOWN)))
    return set_named(desk, found[0].name)


def settable_things(desk: Desk) -> tuple[tuple[Findable, ...], tuple[Findable, ...]]:
    """The situations, named "=situation", and the values that conditions could have, "condition=value"."""
    things = tuple(
        Findable(f"{name}={value}", words.value_words(desk.model, name, value), (f"{name} {value}", name))
        for name, condition in desk.model.conditions.items()
        if condition.settable
        for value in condition.values
        if value != desk.state.course.conditions[name]
    )
    return tuple(Findable(f"={s.name}", s.title) for s in desk.model.situations.values()), things


def set_named(desk: Desk, name: str) -> Replies:
    """Bring a condition to a value, named "condition=value", or all of a situation, named "=situation"."""
    condition, _, value = name.partition("=")
    if condition:
        return set_conditions(desk, {condition: value})
    wanted = words.differing(desk.state.course.conditions, desk.model.situations[value].values)
    return set_conditions(desk, wanted) if wanted else (Said("It is so already."),)


def _restore(desk: Desk, rest: str) -> Replies:
    names = tuple(desk.state.unrestored)
    if not names:
        return (Said("Everything is restored."),)
    things = [Findable(name, desk.model.conditions[name].title) for name in names]
    found = search(rest, things) if rest else tuple(things)
    if not found:
        raise UsageError(f'Nothing that is open is called "{rest[:40]}".')
    return take_up(desk, restore_of(desk, found[0].name))


def _repair(desk: Desk, rest: str) -> Replies:
    things = tuple(thing for thing in work_things(desk) if thing.name in desk.model.repairs)
    found = search(rest, things) if rest else _repairs_by_order(desk, things)
    if not found:
        raise UsageError(f'No repair is called "{rest[:40]}".')
    if len(found) == 1:
        return do(desk, found[0].name)
    return offered(desk, Choices(found[:MOST_SHOWN], max(0, len(found) - MOST_SHOWN)))


def _repairs_by_order(desk: Desk, things: tuple[Findable, ...]) -> tuple[Findable, ...]:
    first = [step.option.repair.name for step in desk.advice.order]
    return tuple(sorted(things, key=lambda t: first.index(t.name) if t.name in first else len(first)))


def _verify(desk: Desk, rest: str) -> Replies:
    if desk.state.last_repair is None:
        raise UsageError("Nothing has been repaired yet.")
    return take_up(desk, proof_proposal(desk))


def _finish(desk: Desk, rest: str) -> Replies:
    return finish(desk)


def _refer(desk: Desk, rest: str) -> Replies:
    return refer(desk)


def _defer(desk: Desk, rest: str) -> Replies:
    sheet = desk.model.deferrals
    things = tuple(Findable(d.name, d.title) for d in sheet.values())
    found = search(rest, things) if rest else things
    if not found:
        raise UsageError("The training deferral sheet of this model has no such line.")
    if rest and len(found) == 1:
        return defer(desk, found[0].name)
    rows = tuple(
        (d.title, "may be deferred" if d.allowed else "may not be deferred")
        for d in (sheet[thing.name] for thing in found)
    )
    return (Listing(rows, hint="defer, then letters of the line"),)


_COMMANDS: Mapping[str, Callable[[Desk, str], Replies]] = {
    "help": _help,
    "note": _note,
    "ref": _reference,
    "data": _reference,
    "undo": _undo,
    "quit": _quit,
    "why": _why,
    "rank": _rank,
    "if": _if,
    "set": _set,
    "restore": _restore,
    "repair": _repair,
    "verify": _verify,
    "finish": _finish,
    "defer": _defer,
    "refer": _refer,
}
