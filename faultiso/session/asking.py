"""The question that is open, from the state alone: a session that was stopped asks the same one again."""

from __future__ import annotations

from dataclasses import replace

from faultiso.base.numbers import show_number
from faultiso.belief.observed import sign_of
from faultiso.model.parts import Check, Indication
from faultiso.session import words
from faultiso.session.desk import Desk
from faultiso.session.prompt import Offer
from faultiso.session.replies import FIRST_PROMPT, FIRST_QUESTION, Listing, Question, Reply, Said, Warned
from faultiso.session.search import Findable
from faultiso.session.state import Pick
from faultiso.session.views import leaders, proposal, warning

ALWAYS = ("help", "note", "ref", "data", "undo", "quit")
WORK = (*ALWAYS, "why", "rank", "set", "if", "restore", "repair", "verify", "finish", "defer", "refer")


def question(desk: Desk) -> Question:
    """What is asked now."""
    state = desk.state
    if state.pick is not None:
        return _about_pick(desk)
    if state.proving:
        return _proof(desk, state.proving[0])
    if state.repairs and inspection_open(desk):
        return inspection(desk)
    match state.phase:
        case "seen" | "now":
            return _situation(desk)
        case "reports":
            return _reports(desk)
        case "others":
            return _others(desk)
        case _:
            return _work(desk)


def _key(desk: Desk) -> tuple[object, ...]:
    return (desk.state.phase, len(desk.log.entries))


def _situation(desk: Desk) -> Question:
    model, state = desk.model, desk.state
    first = state.phase == "seen"
    rows = tuple((situation.title, situation.about) for situation in model.situations.values())
    things = tuple(
        Findable(f"{name}={value}", words.value_words(model, name, value), (name, value))
        for name, condition in model.conditions.items()
        for value in condition.values
    )
    choices = tuple(Findable(s.name, s.title) for s in model.situations.values())
    text = FIRST_QUESTION if first else "And how is it now?"
    prompt = FIRST_PROMPT if first else f"Number, or Enter for {_now_default(desk)} > "
    return Question(
        "seen" if first else "now",
        prompt,
        (*_key(desk)[:1], bool(state.differs)),
        Offer(ALWAYS, desk.choices or choices, things),
        (Said(text), Listing(rows)),
    )


def _now_default(desk: Desk) -> str:
    """The situation that stands for "nothing touched": Enter takes it."""
    return str(1 + list(desk.model.situations).index(now_default(desk)))


def now_default(desk: Desk) -> str:
    start = dict(desk.model.start)
    names = [name for name, s in desk.model.situations.items() if dict(s.values) == start]
    return (names or list(desk.model.situations))[0]


def findable(sign: Indication | Check) -> Findable:
    return Findable(sign.name, sign.title, sign.also)


def _reports(desk: Desk) -> Question:
    things = tuple(findable(sign) for sign in desk.model.indications.values())
    more = desk.state.situations[1:] or desk.state.others
    text = "What was reported? A few letters each, Enter after each, empty when done."
    return Question(
        "reports",
        "> ",
        ("reports", bool(more)),
        Offer(ALWAYS, desk.choices, things),
        (Said(text),),
    )


def _others(desk: Desk) -> Question:
    choices = (
        Findable("normal", "yes, all"),
        Findable("unknown", "not known"),
        Findable("some", "name some"),
    )
    text = "Were the other lights, gauges and sounds looked at and normal?"
    line = "1 yes, all  2 not known  3 name some > "
    return Question("others", line, _key(desk), Offer(ALWAYS, choices), (Said(text),))


def _about_pick(desk: Desk) -> Question:
    pick = desk.state.pick
    assert pick is not None
    if not pick.ready:
        text = "Type ready to do it, Enter to choose again"
        again = _told_again(desk, pick)
        if len(text) < desk.room:
            return Question("ready", f"{text} > ", _key(desk), Offer(ALWAYS), again)
        return Question("ready", "> ", _key(desk), Offer(ALWAYS), (*again, Said(f"{text}.")))
    if pick.what == "repair":
        text = "Approved data you would open for this (chapter or task; nk: not known)"
        return Question("reference", "> ", _key(desk), Offer(("quit", "undo", "help")), (Said(text),))
    return _outcome(desk, pick.name, "outcome")


def _told_again(desk: Desk, pick: Pick) -> tuple[Reply, ...]:
    """For who goes on: what is about to be done, and its cautions; nothing if they were just shown."""
    untold = dict.fromkeys(name for name, _ in sorted(pick.cautions - desk.state.told))
    if not untold:
        return ()
    title = words.deed_title(desk.model, pick.what, " ".join(pick.settings) or pick.name)
    return (Said(f"{words.capital(title)}: about to be done."), Warned(tuple(untold)))


def _proof(desk: Desk, name: str) -> Question:
    """What a sign of the proof shows; where it is read apart from the rest, in which conditions."""
    asked = _outcome(desk, name, "proof")
    plan = desk.state.repairs[-1].plan
    if plan is None or name not in plan.apart:
        return asked
    apart = words.differing(desk.state.course.conditions, plan.conditions_of(name))
    first = Said(f"Before the rest, with {words.settings_words(desk.model, apart)}.")
    return replace(asked, before=(first, *asked.before))


def _outcome(desk: Desk, name: str, kind: str) -> Question:
    """What a sign shows: its outcomes by number; where a number is read, that number or a word."""
    sign = sign_of(desk.model, name)
    titles = [words.outcome_words(sign, outcome) for outcome in sign.outcomes]
    choices = tuple(Findable(o, t) for o, t in zip(sign.outcomes, titles, strict=True))
    before: list[Reply] = []
    if sign.ranges:
        before.append(
            Said(f"{words.capital(sign.title)}: a number in {sign.unit}, or {', '.join(titles)}, or nk.")
        )
        prompt = f"{sign.title}, {sign.unit} > "
        offer = Offer(ALWAYS, things=choices, unit=sign.unit)
        return Question(kind, prompt, _key(desk), offer, tuple(before))
    options = "  ".join(f"{n} {title}" for n, title in enumerate(titles, 1))
    fault = words.looked_for(desk.model, sign)
    name_of_it = f"{sign.title} ({fault})" if fault else sign.title
    prompt = f"{name_of_it}: {options}  nk > "
    if len(prompt) > desk.room:  # a longer question is written above its prompt
        before = [Said(f"{words.capital(name_of_it)}:"), Listing(tuple((title, "") for title in titles))]
        prompt = "Number, or nk > "
    return Question(kind, prompt, _key(desk), Offer(ALWAYS, desk.choices or choices), tuple(before))


def inspection_open(desk: Desk) -> bool:
    repair = desk.state.repairs[-1]
    needed = desk.model.repairs[repair.name].verification.inspection
    return needed and repair.proof == "passed" and repair.inspected == ""


def inspection(desk: Desk) -> Question:
    about = desk.model.repairs[desk.state.repairs[-1].name].verification.about
    text = "This calls for an inspection by a second, independent person" + (f": {about}." if about else ".")
    choices = (Findable("yes", "yes, inspected"), Findable("not yet", "not yet"))
    return Question(
        "inspection", "1 inspected  2 not yet > ", _key(desk), Offer(ALWAYS, choices), (Said(text),)
    )


def work_things(desk: Desk) -> tuple[Findable, ...]:
    """All that can be done: checks, looks, repairs."""
    model = desk.model
    repairs = tuple(Findable(r.name, r.title, r.also) for r in model.repairs.values())
    return (*map(findable, model.checks.values()), *map(findable, model.indications.values()), *repairs)


def _work(desk: Desk) -> Question:
    before: list[Reply] = []
    if not _closing(desk):
        before = [*warning(desk), *_left_out(desk)]
        if desk.belief.possible:
            before.append(leaders(desk, desk.belief))
    before.append(proposal(desk))
    offer = Offer(WORK, desk.choices, work_things(desk))
    state = desk.state
    key = (
        "work",
        state.course.timeline,
        state.readings,
        state.course.standing,
        state.repairs,
        state.not_known,
    )
    return Question("work", f"{show_number(round(state.minutes))} min > ", key, offer, tuple(before))


def _left_out(desk: Desk) -> tuple[Reply, ...]:
    """What is said if not all readings could be reasoned with."""
    if not desk.left_out:
        return ()
    text = f"All readings together are too much to reason with: the oldest {desk.left_out} are left out."
    return (Said(text),)


def _closing(desk: Desk) -> bool:
    """Whether a repair has just been made or proved: then the leaders are no longer the question."""
    last = desk.state.last_repair
    return last is not None and last.proof in ("", "passed")
