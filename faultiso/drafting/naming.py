"""Names for what people call by titles: lower-case identifiers as the language wants them, each once."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

#: the full name of a fault as the language writes it, component and mode
FULL_NAME = re.compile(r"([a-z][a-z0-9_]{0,60})\.([a-z][a-z0-9_]{0,78})")
_LONGEST = 48  # characters; long titles give names that end at a word
#: what means something in models, and what some readers of YAML take for no text
_RESERVED = frozenset(
    {"spare", "nk", "present", "absent", "y", "n", "yes", "no", "on", "off", "true", "false", "null"}
)
_LETTERS = str.maketrans({"ß": "ss", "æ": "ae", "ø": "o", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th"})


def identifier(title: str, otherwise: str, joint: str = "_") -> str:
    """The title as a name: accents dropped, all other signs a ``joint``; ``otherwise`` if nothing is left.

    >>> identifier("Pump No. 1, geöffnet", "part")
    'pump_no_1_geoffnet'
    """
    plain = unicodedata.normalize("NFKD", title.casefold().translate(_LETTERS))
    bare = "".join(sign for sign in plain if not unicodedata.combining(sign))
    words = [word for word in re.split("[^a-z0-9]+", bare) if word]
    kept = ""
    for word in words:
        longer = f"{kept}{joint}{word}" if kept else word[:_LONGEST]
        if len(longer) > _LONGEST:
            break
        kept = longer
    if not kept or kept in _RESERVED:
        return otherwise
    return kept if kept[0].isalpha() else f"{otherwise}{joint}{kept}"


class Names:
    """Gives out names of one name space; a name that is taken gets a number."""

    def __init__(self, taken: Iterable[str] = ()) -> None:
        self._taken = set(taken)

    def given(self, name: str, *made: str) -> str:
        """This very name if it is free, else one with a number."""
        return self._free(name, made)

    def of(self, title: str, otherwise: str, *made: str) -> str:
        """A name that nothing else has. ``made``: names made of it ("{}_state") are taken with it."""
        return self._free(identifier(title, otherwise), made)

    def _free(self, name: str, made: Iterable[str]) -> str:
        for number in range(1, 2 * len(self._taken) + 3):
            candidate = name if number == 1 else f"{name}_{number}"
            together = {candidate, *(form.format(candidate) for form in made)}
            if not together & self._taken:
                break
        self._taken |= together
        return candidate
