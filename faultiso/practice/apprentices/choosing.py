"""What an apprentice does next: by habit, by the reference plan, or in a poorer way.

A choice is a name for ``Practice.do``: a check, a look, a repair, "condition=value", "=situation", a
condition (restores it), a way to end; or "verify", "finish", "defer" with the line's title, which are typed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from faultiso.model.silence import silences
from faultiso.practice.apprentices.apprentice import Way
from faultiso.practice.apprentices.mind import Mind
from faultiso.practice.apprentices.tracing import halving, open_part
from faultiso.session import words
from faultiso.session.course import carry_out
from faultiso.session.replies import Proposal
from faultiso.session.state import State
from faultiso.session.views import proof_proposal, restore_of

ANOTHER_CHECK = 0.7  # of who guesses: another check before a repair; invented
LEADING = 5  # units among which a guess is made
MOST_REPAIRS = 3  # that failed, after which somebody else is asked
ENOUGH_LOOKED = 4  # things read with nothing wrong in any, after which nothing is said to be wrong
HAND_OVER, NOTHING_FOUND, REFER, VERIFY, FINISH, DEFER = (
    "hand over", "no fault found", "refer", "verify", "finish", "defer",
)  # fmt: skip
ENDS = (NOTHING_FOUND, REFER, FINISH)


def choose(mind: Mind, state: State) -> str:
    """The next choice; what is to be put back first comes before any end."""
    chosen = _after_repair(mind, state) or _by_habit(mind, state) or _by_skill(mind, state)
    ends = chosen in ENDS or chosen.startswith(f"{DEFER} ")
    return (_put_back(mind, state) or chosen) if ends else chosen


def _put_back(mind: Mind, state: State) -> str:
    """The first thing that is still set; handed over as it is by who leaves it, or where it cannot be."""
    name = next(iter(state.unrestored), "")
    if not name:
        return ""
    possible = restore_of(mind.room.desk(state), name).kind == "restore"
    return name if possible and not mind.leaves_open else HAND_OVER


def _after_repair(mind: Mind, state: State) -> str:
    """Prove it, then close; "" where there is something to be found out."""
    last = state.last_repair
    if last is None or last.proof == "failed":
        return ""
    if last.proof == "passed":
        if _something_else(mind, state):
            return ""
        return HAND_OVER if last.inspected == "not yet" else FINISH
    if last.proof or mind.chance.happens("verification", mind.apprentice.impatience):
        return HAND_OVER
    return VERIFY if proof_proposal(mind.room.desk(state)).kind == "verify" else HAND_OVER


def _something_else(mind: Mind, state: State) -> bool:
    """Whether who works well sees that one repair, though proved, does not explain it all."""
    thinks = mind.chance.happens("what else", mind.apprentice.skill)
    if not thinks and mind.apprentice.way != "reference plan":
        return False
    advised = mind.room.proposed(mind.understood(state))
    return advised is not None and advised.kind in ("check", "look", "set", "repair")


def _by_habit(mind: Mind, state: State) -> str:
    """A look where nothing can speak, or a repair before its time; "" if no habit gets the better."""
    looks = mind.chance.happens("silent look", mind.apprentice.misread_indications)
    hasty = mind.chance.happens("impatience", mind.apprentice.impatience)
    if looks and (silent := _silent(mind, state)):
        return mind.chance.one_of("which silent look", silent)
    return _most_probable(mind, state) if hasty and state.deeds and not state.repairs else ""


def _silent(mind: Mind, state: State) -> list[str]:
    """Lights that can say nothing now, and were not looked at."""
    seen = {deed.name for deed in state.deeds if deed.what == "look"}
    return [
        silent.name for silent in silences(mind.model, state.course.conditions) if silent.name not in seen
    ]


def _by_skill(mind: Mind, state: State) -> str:
    if mind.chance.happens("skill", mind.apprentice.skill) or mind.apprentice.way == "reference plan":
        advised = mind.room.proposed(mind.understood(state))
        step = _as_choice(mind, state, advised) if advised else ""
        if step and step not in mind.refused:
            return step
    return _WAYS[mind.apprentice.way](mind, state)


def _as_choice(mind: Mind, state: State, advised: Proposal) -> str:
    """A proposal as it would be typed."""
    if advised.kind == "set":
        return _setting(mind, state, advised.settings)
    if advised.kind == DEFER:
        return f"{DEFER} {mind.model.deferrals[advised.name].title}"
    return advised.name if advised.kind in ("check", "look", "repair", "restore") else advised.kind


def _setting(mind: Mind, state: State, wanted: Mapping[str, str]) -> str:
    """The situation in which no more than what is wanted changes, or the first condition of it."""
    now = state.course.conditions
    for situation in mind.model.situations.values():
        if words.differing(now, situation.values) == dict(wanted):
            return f"={situation.name}"
    return next((f"{name}={value}" for name, value in wanted.items() if now[name] != value), "")


# the poorer ways


def _guess(mind: Mind, state: State) -> str:
    """Some check, or some repair among those that touch a leading unit."""
    if _nothing_seen(mind, state):
        return NOTHING_FOUND
    another = mind.chance.happens("another check", ANOTHER_CHECK)
    if another and (checks := _checks(mind, state)):
        return mind.chance.one_of("which check", checks)
    leading = list(mind.room.units(mind.understood(state)))[:LEADING]
    repairs = _repairs(mind, state, leading)
    if not repairs or len(state.repairs) >= MOST_REPAIRS:
        return REFER
    return mind.chance.one_of("which repair", repairs)


def _most_probable(mind: Mind, state: State) -> str:
    """The repair of the unit that is most probably faulty."""
    if _nothing_seen(mind, state):
        return NOTHING_FOUND
    units = list(mind.room.units(mind.understood(state)))
    repairs = _repairs(mind, state, units)
    return repairs[0] if repairs and len(state.repairs) < MOST_REPAIRS else REFER


def _half_split(mind: Mind, state: State) -> str:
    """What halves the open part of the flow; where nothing does, the repair of what is left."""
    left = open_part(mind, state)
    if chosen := halving(mind, left, [*_looks(mind, state), *_checks(mind, state)]):
        return chosen
    if _nothing_seen(mind, state):
        return NOTHING_FOUND
    repairs = _repairs(mind, state, left)
    return repairs[0] if repairs and len(state.repairs) < MOST_REPAIRS else REFER


_WAYS: Mapping[Way, Callable[[Mind, State], str]] = {
    "guessing": _guess,
    "most probable unit": _most_probable,
    "half-splitting": _half_split,
    "reference plan": _half_split,  # where the plan has nothing to say
}


def _nothing_seen(mind: Mind, state: State) -> bool:
    """Whether enough was read, and all of it was as it should be."""
    news = list(mind.news(state))
    return sum(item.at_work for item in news) >= ENOUGH_LOOKED and all(item.normal for item in news)


def _checks(mind: Mind, state: State) -> list[str]:
    """Checks that were not made and can be made from here."""
    made = {deed.name for deed in state.deeds} | mind.refused
    checks = [check for check in mind.model.checks.values() if check.name not in made]
    return [check.name for check in checks if carry_out(mind.model, state.course, check)]


def _looks(mind: Mind, state: State) -> list[str]:
    """Indications that can speak here and were not looked at."""
    quiet = {silent.name for silent in silences(mind.model, state.course.conditions)}
    seen = {deed.name for deed in state.deeds} | mind.refused | quiet
    return [name for name in mind.model.indications if name not in seen]


def _repairs(mind: Mind, state: State, units: Sequence[str]) -> list[str]:
    """Repairs that mend these units, in their order; that were not made and can be made from here."""
    made = {repair.name for repair in state.repairs} | mind.refused
    found = {r.name: r for unit in units for r in mind.room.repairs[unit] if r.name not in made}
    return [name for name, repair in found.items() if carry_out(mind.model, state.course, repair)]
