"""What a typed line means: one grammar at every question, without reading or writing anything.

A first word that is a command is that command. ``nk`` is "not known". Where a number is asked for, a number
is the answer; elsewhere it picks from the list on screen. All else searches by letters.
"""

from __future__ import annotations

from dataclasses import dataclass

from faultiso.base.nearest import nearest
from faultiso.base.numbers import NOT_KNOWN_WORDS, Ambiguous, NotANumber, NotKnown, Understood, read_number
from faultiso.base.text import one_line
from faultiso.session.search import Findable, search

COMMANDS = (
    "help", "why", "rank", "believe", "set", "if", "undo", "note", "ref", "data", "ask", "restore", "repair",
    "verify", "finish", "defer", "refer", "dispute", "hint", "quit",
)  # fmt: skip
MOST_SHOWN = 9
_LONGEST_LINE = 500


@dataclass(frozen=True, slots=True)
class Offer:
    """What a line can refer to at this question.

    ``choices`` is the numbered list on screen, ``things`` what letters search besides. ``unit`` is set where
    a number is asked for ("" = in any unit); then digits are the reading, never a pick.
    """

    commands: tuple[str, ...] = COMMANDS
    choices: tuple[Findable, ...] = ()
    things: tuple[Findable, ...] = ()
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Command:
    """A command with the rest of its line, cleaned."""

    name: str
    rest: str = ""


@dataclass(frozen=True, slots=True)
class Pick:
    """One thing, by its number or by letters that fit nothing else; to be echoed before it costs anything."""

    thing: Findable


@dataclass(frozen=True, slots=True)
class Choices:
    """The best of several things that fit, and how many ``more`` there are."""

    things: tuple[Findable, ...]
    more: int = 0

    @property
    def hint(self) -> str:
        """The line below the list, or ""."""
        return f"{self.more} more: type another letter" if self.more else ""


@dataclass(frozen=True, slots=True)
class Nothing:
    """Enter alone: what is proposed, never past a caution."""


@dataclass(frozen=True, slots=True)
class Slip:
    """The line fits nothing here; one sentence, then the same question."""

    sentence: str


Meaning = Command | Pick | Choices | NotKnown | Understood | Ambiguous | Nothing | Slip


def understand(line: str, offer: Offer) -> Meaning:
    """The meaning of a line at a question. Any text whatever has one."""
    line = one_line(line, _LONGEST_LINE)
    first, _, rest = line.partition(" ")
    if not line:
        return Nothing()
    if first.casefold() in offer.commands:
        return Command(first.casefold(), rest.strip())
    if line.casefold() in NOT_KNOWN_WORDS:
        return NotKnown()
    if offer.unit is not None:
        return _reading(line, offer, offer.unit)
    if offer.choices and line.isascii() and line.isdigit():
        return _picked(line, offer.choices)
    return _searched(line, offer) or Slip(_nothing_fits(line, offer))


def _reading(line: str, offer: Offer, unit: str) -> Meaning:
    """A number, or the name of one of the levels that may be said instead of it."""
    reading = read_number(line, unit)
    if not isinstance(reading, NotANumber):
        return reading
    begins_like_a_number = line[0] in "+-.,0123456789\u2212"
    return (None if begins_like_a_number else _searched(line, offer)) or Slip(reading.reason)


def _picked(digits: str, choices: tuple[Findable, ...]) -> Pick | Slip:
    number = int(digits[:9])
    if 1 <= number <= len(choices):
        return Pick(choices[number - 1])
    return Slip(f"The list has the numbers 1 to {len(choices)}.")


def _searched(line: str, offer: Offer) -> Pick | Choices | None:
    pool = {thing.name: thing for thing in (*offer.choices, *offer.things)}
    found = search(line, pool.values())
    if len(found) == 1:
        return Pick(found[0])
    return Choices(found[:MOST_SHOWN], max(0, len(found) - MOST_SHOWN)) if found else None


def _nothing_fits(line: str, offer: Offer) -> str:
    fewer = line.rpartition(" ")[0]
    several = search(fewer, offer.things) if fewer else ()
    if len(several) > 1:
        shown = "; ".join(one_line(thing.title, 40) for thing in several[:3])
        more = " and more" if len(several) > 3 else ""
        return f'"{one_line(fewer, 40)}" fits {len(several)} things: {shown}{more}. More letters, please.'
    titles = tuple(thing.title for thing in (*offer.choices, *offer.things))
    close = nearest(line, (*titles, *offer.commands))
    hint = f" Nearest: {one_line(close, 60)}." if close else ""
    return f'Nothing here is called "{one_line(line, 40)}".{hint}'
