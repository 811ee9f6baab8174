"""A part of a model taken to pieces: everything that it says, each piece with the words that lead to it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from faultiso.model.parts import Cause, Rule

Leaf = float | str
#: the place, the name by which the part is found, and what is compared as a part of its own
_LEFT_OUT = frozenset({"where", "name", "component", "faults"})
_TEXTS = frozenset({"title", "about", "text", "precaution", "source", "also", "asks", "placard", "provided"})
_NAME = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?")


def leaves(part: Any, renamed: Mapping[str, str] | None = None) -> dict[str, Leaf]:
    """Path -> number or text; what is empty is left out. ``renamed``: names of other parts, old -> new."""
    found: dict[str, Leaf] = {}
    for field in fields(part):
        if field.name not in _LEFT_OUT:
            names = {} if field.name in _TEXTS else renamed or {}
            for path, leaf in _pieces(field.name.replace("_", " "), getattr(part, field.name)):
                found[_with(path, names)] = _with(leaf, names) if isinstance(leaf, str) else leaf
    return found


def _pieces(path: str, value: Any) -> Iterator[tuple[str, Leaf]]:
    if isinstance(value, bool):
        yield from [(path, "yes")] if value else []
    elif isinstance(value, int | float):
        yield path, float(value)
    elif isinstance(value, str):
        yield from [(path, value)] if value else []
    elif isinstance(value, Rule):
        yield f"row when {_words(value.when) or 'nothing else'}", value.then or f"like {value.like}"
    elif isinstance(value, Cause):
        yield from _of_cause(value)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name not in _LEFT_OUT:
                yield from _pieces(f"{path} {field.name}".replace("_", " "), getattr(value, field.name))
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _pieces(f"{path} {name}", inner)
    elif isinstance(value, tuple):
        yield from _of_tuple(path, value)


def _of_tuple(path: str, value: tuple[Any, ...]) -> Iterator[tuple[str, Leaf]]:
    """Numbers as a range, rows and causes one by one, conditions and names as a list."""
    if value and all(isinstance(item, int | float) for item in value):
        yield from ((f"{path} {end}", float(item)) for end, item in zip(("from", "to"), value, strict=False))
    elif value and is_dataclass(value[0]):
        for item in value:
            yield from _pieces(path, item)
    elif value:
        yield path, ", ".join(_words(item) if isinstance(item, Mapping) else _plain(item) for item in value)


def _plain(item: Any) -> str:
    return " and ".join(map(str, item)) if isinstance(item, tuple) else str(item)


def _of_cause(cause: Cause) -> Iterator[tuple[str, Leaf]]:
    for response in cause.responses:
        when = f", when {_words(response.when)}" if response.when else ""
        for state, chances in response.gives.items():
            source = cause.source if state == "present" else f"{cause.source} {state}"
            yield from ((f"{source} gives {level}{when}", float(p)) for level, p in chances.items())


def _words(match: Mapping[str, tuple[str, ...]]) -> str:
    return ", ".join(f"{name} {'/'.join(values)}" for name, values in match.items())


def _with(text: str, renamed: Mapping[str, str]) -> str:
    return _NAME.sub(lambda found: renamed.get(found[0], found[0]), text) if renamed else text
