"""A line work order as text: which lines say what was seen and done, and which only who and where."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from faultiso.casebook.making.anonymous import anonymous
from faultiso.model.system import Model

_FIELD = re.compile(r"[ \t]*([A-Za-z][A-Za-z /._-]{0,30}?)[ \t]*[:=][ \t]*(.*)")
_SEEN = frozenset((
    "complaint", "defect", "description", "fault", "finding", "write-up", "write up", "symptom", 
    "discrepancy", "report", "pirep", "text",
))  # fmt: skip
_DONE = frozenset((
    "action", "action taken", "rectification", "work done", "corrective action", "remarks", "note", "notes",
))  # fmt: skip


@dataclass(frozen=True)
class Order:
    """The anonymous texts of a work order: what was seen, what was done; what was taken out, how often.

    ``left_out``: names of fields that were not taken over at all.
    """

    seen: str
    done: str
    removed: Mapping[str, int]
    left_out: tuple[str, ...]


def read_order(text: str, model: Model, words: tuple[str, ...] = ()) -> Order:
    """A work order without what tells aircraft, operator and people, as far as patterns find it.

    Of lines such as ``key: value`` only those that say what was seen or done are taken over; what the others
    say, registration or name, is also taken out of these. A text without such lines is taken as it is.
    """
    fields, rest = _fields(text)
    known = [(key, value) for key, value in fields if _plain(key) in _SEEN | _DONE]
    others = [(key, value) for key, value in fields if (key, value) not in known]
    if not known:
        others, rest = [], text
    keep = frozenset(_words_of(model))
    taken = (*words, *(value for _, value in others if len(value.strip()) > 2))
    parts = [anonymous(part, taken, keep) for part in (_joined(known, _SEEN, rest), _joined(known, _DONE))]
    removed: Counter[str] = Counter()
    for part in parts:
        removed.update(part.removed)
    return Order(parts[0].text, parts[1].text, dict(removed), tuple(key for key, _ in others))


def _fields(text: str) -> tuple[list[tuple[str, str]], str]:
    """The lines that are ``key: value``, and all others; a line without a key goes on with the one before."""
    fields: list[tuple[str, str]] = []
    rest: list[str] = []
    for line in text.splitlines():
        match = _FIELD.fullmatch(line)
        if match:
            fields.append((match[1], match[2]))
        elif fields and line.strip():
            fields[-1] = (fields[-1][0], f"{fields[-1][1]} {line.strip()}")
        else:
            rest.append(line)
    return fields, "\n".join(rest)


def _plain(key: str) -> str:
    return " ".join(key.casefold().replace("_", " ").split())


def _joined(known: list[tuple[str, str]], keys: frozenset[str], rest: str = "") -> str:
    lines = [value for key, value in known if _plain(key) in keys]
    return "\n".join(line for line in (*lines, rest) if line.strip()).strip()


def _words_of(model: Model) -> set[str]:
    """The words of the model's titles, in small letters."""
    parts = (
        *model.components.values(),
        *model.signs(),
        *model.situations.values(),
        *model.conditions.values(),
    )
    return {word for part in parts for word in re.findall(r"[^\W\d_]+", part.title.casefold())}
