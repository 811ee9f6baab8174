"""What the person says they believe: "lp switch 50, overheat switch 25"."""

from __future__ import annotations

import re
from collections.abc import Mapping

from faultiso.base.problems import UsageError
from faultiso.base.text import one_line
from faultiso.model.system import Model
from faultiso.session import words
from faultiso.session.replies import Facts
from faultiso.session.search import Findable, search
from faultiso.session.state import State

NOTHING = "nothing"  # the belief that nothing is wrong at all
REST = "anything else"
LONGEST = 500  # characters of a line that are read
_PART = re.compile(r"(?P<letters>.*?)\s*(?P<number>-?\d+(?:\.\d+)?)\s*%?\s*$")

_TWO = re.compile(r"\d\s*%?\s+[^\W\d]")  # a number with letters after it: two units without a comma


def stated_in(model: Model, line: str) -> dict[str, float]:
    """Component or fault -> per cent, as typed. UsageError with one sentence if it cannot be read."""
    says: dict[str, float] = {}
    for part in filter(None, (piece.strip() for piece in one_line(line, LONGEST).split(","))):
        found = _PART.match(part)
        if found is None or not found["letters"]:
            raise UsageError(f'"{part[:40]}": letters of a unit, then per cent: filter 50, switch 20.')
        says[_meant(model, found["letters"])] = _percent(found["number"])
    if not says:
        raise UsageError("believe, then letters of a unit and per cent: believe filter 50, switch 20.")
    if sum(says.values()) > 100:
        raise UsageError(f"Together that is {sum(says.values()):g} per cent; 100 at most.")
    return says


def _percent(number: str) -> float:
    if number.startswith("-"):
        raise UsageError(f"{number[:40]} per cent cannot be: 0 to 100.")
    return float(number)


def _meant(model: Model, letters: str) -> str:
    if letters.casefold() in ("nothing", "nothing wrong"):
        return NOTHING
    units = tuple(Findable(c.name, c.title, c.also) for c in model.components.values())
    faults = tuple(Findable(f.name, words.fault_words(model, f.name), f.also) for f in model.faults.values())
    found = search(letters, units) or search(letters, faults)
    if not found:
        commas = " Commas stand between units: filter 50, switch 20." if _TWO.search(letters) else ""
        raise UsageError(f'No unit is called "{letters[:40]}".{commas}')
    exact = [thing for thing in found if thing.title.casefold() == letters.casefold()]
    if len(found) > 1 and len(exact) != 1:
        titles = ", ".join(thing.title for thing in found[:4])
        raise UsageError(f'"{letters[:40]}" fits several units: {titles}. More letters, please.')
    return (exact or list(found))[0].name


def belief_facts(model: Model, says: Mapping[str, float]) -> Facts:
    """What was understood."""
    pairs = [(words.subject_words(model, name), f"{percent:g} %") for name, percent in says.items()]
    rest = 100 - sum(says.values())
    return Facts("You say", (*pairs, *(((REST, f"{rest:g} %"),) if rest > 0 else ())))


def due(state: State) -> str:
    """Before what a belief is asked for now: "check" before the first one that costs minutes, "repair" before
    the first repair, "" if it is not."""
    pick = state.pick
    if pick is None or pick.what not in ("check", "repair"):
        return ""
    if pick.what == "check" and (state.beliefs or not state.model.checks[pick.name].work.minutes):
        return ""
    return "" if any(stated.before == pick.what for stated in state.beliefs) else pick.what
