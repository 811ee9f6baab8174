"""A case as YAML that is good to edit: keys in the order of the reference, no quotes without need."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from faultiso.base.notice import Subject, full_notice
from faultiso.base.text import clean, wrap
from faultiso.casebook.shape import CASE

WIDTH = 115
FOLDED_FROM = 95  # characters from which a text that is one paragraph goes over several lines
_FOLDED = ("good_solution", "notes", "write_up")
_PLAIN = re.compile(r"[A-Za-z0-9][\w.-]*( [A-Za-z0-9%][\w%/-]*)*", re.ASCII)
_PLAIN_LINE = re.compile(r"[A-Za-z][\w ,.;?!()/%'-]*[\w.?!)]", re.ASCII)
_NUMBER = re.compile(r"[0-9][0-9._]*(e[0-9]*)?|0x.*", re.IGNORECASE)
#: what other readers of YAML take for something else than a text
_WORDS = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null"})


def case_text(values: Mapping[str, Any], subject: Subject = "", missing: bool = False) -> str:
    """The text of a case file. ``values``: as in the file, by key; a key without a value is left out.

    ``missing``: keys that must be there and are not stand as comments, each with what is expected.
    """
    lines = wrap(full_notice(subject), WIDTH, "# ", "# ")
    for key, field in CASE.fields.items():
        if values.get(key) not in (None, ""):
            lines += _entry(key, values[key])
        elif missing and field.required:
            lines.append(f"# {key}:   # {field.about}")
    return "\n".join(lines) + "\n"


def _entry(key: str, value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield from _text(key, value)
    elif key in ("seen", "says") or (key in ("aims", "hints", "pins") and value):
        yield f"{key}:"
        yield from _items(value)
    else:
        yield f"{key}: {flow(value)}"


def _text(key: str, value: str) -> Iterator[str]:
    """A text on its line; a long paragraph below it, folded."""
    text = clean(value, 4000)
    if key in _FOLDED and len(text) > FOLDED_FROM and text == " ".join(text.split()):
        yield f"{key}: >-"
        yield from wrap(text, WIDTH, "  ")
    else:
        yield f"{key}: {line(text)}"


def _items(value: Any) -> Iterator[str]:
    if isinstance(value, Mapping):
        for name, lines in value.items():
            yield f"  {flow(name)}: {flow(lines)}"
        return
    for item in value:
        if isinstance(item, Mapping) and "reports" in item:
            pairs = [f"{name}: {flow(inner)}" for name, inner in item.items() if inner not in ({}, "")]
            yield f"  - {pairs[0]}"
            yield from (f"    {pair}" for pair in pairs[1:])
        else:
            yield f"  - {line(item)}"


def line(value: Any) -> str:
    """A value in one line, outside of brackets: there a text may have commas without quotes."""
    text = clean(value, 4000) if isinstance(value, str) else ""
    plain = _PLAIN_LINE.fullmatch(text) and text.casefold() not in _WORDS and "  " not in text
    return text if plain else flow(value)


def flow(value: Any) -> str:
    """A value in one line, as it may stand inside brackets."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{flow(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    text = clean(str(value), 4000)
    plain = _PLAIN.fullmatch(text) and not _NUMBER.fullmatch(text) and text.casefold() not in _WORDS
    return text if plain else json.dumps(text, ensure_ascii=False)
