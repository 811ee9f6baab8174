"""What tells aircraft, operator and people in the text of a work order, taken out by patterns and by a list.

Patterns find what is written as it mostly is, and take out too much rather than too little. They never find
everything: a person has to read what is left before anybody else does.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from faultiso.base.text import clean
from faultiso.casebook.making.identifiers import COMPILED, PLAIN, TRADE

LONGEST = 20_000  # characters of a work order


@dataclass(frozen=True)
class Cleaned:
    """What is left of a text, and how often each kind of thing was taken out."""

    text: str
    removed: Mapping[str, int]


def anonymous(text: str, words: Sequence[str] = (), keep: Collection[str] = ()) -> Cleaned:
    """The text with every identifier that is found replaced by its kind in brackets.

    ``words``: what is to be taken out besides, wherever it stands, in any case of letters. ``keep``: words of
    the system, which are no names or stations. Nothing that was taken out of one place is left in another.
    """
    cleaner = _Cleaner(frozenset(word.casefold() for word in keep) | PLAIN)
    left = cleaner.without_words(clean(text, LONGEST), words, "word of your list")
    for kind, patterns in COMPILED.items():
        for pattern in patterns:
            left = cleaner.without(left, pattern, kind)
    for kind, told in cleaner.told.items():
        left = cleaner.without_words(left, tuple(told), kind)
    return Cleaned(left, dict(cleaner.count))


class _Cleaner:
    """Takes out and counts; ``told``: the very words by kind, so that each goes wherever it stands."""

    def __init__(self, keep: frozenset[str]) -> None:
        self.keep = keep
        self.count: Counter[str] = Counter()
        self.told: dict[str, dict[str, None]] = {}

    def without(self, text: str, pattern: re.Pattern[str], kind: str) -> str:
        """The text without what fits the pattern and is no word of the system."""
        return "".join(self._pieces(text, pattern.finditer, kind))

    def _pieces(
        self, text: str, matches: Callable[[str], Iterator[re.Match[str]]], kind: str
    ) -> Iterator[str]:
        """What was put in brackets before is never looked at again."""
        for part in re.split(r"(\[[a-z -]+\])", text):
            done = 0
            for match in matches(part) if not part.startswith("[") else ():
                group = "what" if "what" in match.re.groupindex and match["what"] else 0
                if self._stays(match[group], kind):
                    continue
                yield part[done : match.start(group)] + self._taken(match[group], kind)
                done = match.end(group)
            yield part[done:]

    def _stays(self, found: str, kind: str) -> bool:
        if kind in ("name", "station", "operator"):
            return all(word in self.keep for word in re.findall(r"\w+", found.casefold()))
        return kind == "registration" and found.casefold() in TRADE

    def _taken(self, found: str, kind: str) -> str:
        self.count[kind] += 1
        if kind in ("name", "registration", "operator", "serial or part number"):
            parts = re.findall(r"[^\s.]{3,}", found) if kind == "name" else [found]
            fresh = [part for part in parts if part.casefold() not in self.keep]
            self.told.setdefault(kind, {}).update(dict.fromkeys(fresh))
        return f"[{kind}]"

    def without_words(self, text: str, words: Sequence[str], kind: str) -> str:
        """The text without these very words, in any case of letters."""
        for word in sorted({w.strip() for w in words if w.strip()}, key=lambda w: (-len(w), w)):
            pattern = re.compile(rf"(?<!\w){re.escape(word)}(?!\w)", re.IGNORECASE)
            text = "".join(self._pieces(text, pattern.finditer, kind))
        return text
