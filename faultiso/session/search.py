"""Finding a thing by a few letters: all words, in any order, over titles, names and synonyms."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from faultiso.base.text import one_line

#: A run of letters or a run of digits: "pump_1", "pump1" and "pump 1" are the same two words.
_WORD = re.compile(r"[^\W\d_]+|\d+")
_LONGEST_QUERY = 100

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Findable:
    """Something that letters can find: its identifier, its title for people, other words for it.

    ``note`` stands beside it in a list (its minutes); empty where that is worked out for the moment.
    """

    name: str
    title: str
    also: tuple[str, ...] = ()
    note: str = ""


def search(query: str, things: Iterable[Findable]) -> tuple[Findable, ...]:
    """What all words of the query fit, best first; things that fit equally well keep their order.

    A word fits where a word of the thing begins with it, and less well where it stands inside one; digits
    must be the whole number, so "pump 1" does not find pump 12. What is called exactly so comes alone.
    """
    wanted = words_of(one_line(query, _LONGEST_QUERY))
    if not wanted:
        return ()
    graded = [(_grade(wanted, thing), thing) for thing in things]
    found = sorted((pair for pair in graded if pair[0] is not None), key=lambda pair: pair[0] or 0)
    exact = tuple(thing for grade, thing in found if grade == 0)
    return exact or tuple(thing for _, thing in found)


def words_of(text: str) -> Words:
    """The words of a text, without regard to case or to the way in which a character is written."""
    return tuple(_WORD.findall(unicodedata.normalize("NFKC", text).casefold()))


def _grade(wanted: Words, thing: Findable) -> int | None:
    """0: called exactly so; 1: a text begins so; 2: words begin so; 3: inside words; None: does not fit."""
    texts = [words_of(text) for text in (thing.title, thing.name, *thing.also)]
    if wanted in texts:
        return 0
    if any(_begins(wanted, text) for text in texts):
        return 1
    words = [word for text in texts for word in text]
    if all(any(_starts(want, word) for word in words) for want in wanted):
        return 2
    return 3 if all(any(_inside(want, word) for word in words) for want in wanted) else None


def _begins(wanted: Words, text: Sequence[str]) -> bool:
    return len(wanted) <= len(text) and all(map(_starts, wanted, text))


def _starts(want: str, word: str) -> bool:
    return want == word if want.isdigit() else word.startswith(want)


def _inside(want: str, word: str) -> bool:
    return want == word if want.isdigit() else want in word
