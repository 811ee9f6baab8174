"""A part of a model taken to pieces: everything that it says, each piece with the words that lead to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from faultiso.model.parts import Cause, Rule

Leaf = float | str
Names = Mapping[str, str]
ORDER = "order of the rows"  # a piece that matters only where the rows are the same
#: the place, the name by which the part is found, and what is compared as a part of its own
_LEFT_OUT = frozenset({"where", "name", "component", "faults"})
_TEXTS = frozenset({"title", "about", "text", "precaution", "source", "also", "asks", "placard", "provided"})
_NONE: Names = {}


def leaves(part: Any, names: Names = _NONE) -> dict[str, Leaf]:
    """Path -> number or text; what is empty is left out. ``names``: new names of other parts, by the old."""
    found: dict[str, Leaf] = {}
    for field in fields(part):
        if field.name not in _LEFT_OUT:
            known = _NONE if field.name in _TEXTS else names
            for path, leaf in _pieces(field.name.replace("_", " "), getattr(part, field.name), known):
                found[_free(path, found)] = leaf
    return found


def _free(path: str, taken: Mapping[str, Leaf]) -> str:
    """The path; of a second cause from the same fault, say, with its number."""
    number = 2
    while path in taken and f"{path} ({number})" in taken:
        number += 1
    return f"{path} ({number})" if path in taken else path


def _pieces(path: str, value: Any, names: Names) -> Iterator[tuple[str, Leaf]]:
    if isinstance(value, bool):
        yield from [(path, "yes")] if value else []
    elif isinstance(value, int | float):
        yield path, float(value)
    elif isinstance(value, str):
        yield from [(path, names.get(value, value))] if value else []
    elif isinstance(value, Rule):
        yield _row(value, names), value.then or f"like {names.get(value.like, value.like)}"
    elif isinstance(value, Cause):
        yield from _of_cause(value, names)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name not in _LEFT_OUT:
                inner = getattr(value, field.name)
                yield from _pieces(f"{path} {field.name}".replace("_", " "), inner, names)
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _pieces(f"{path} {names.get(name, name)}", inner, names)
    elif isinstance(value, tuple):
        yield from _of_tuple(path, value, names)


def _of_tuple(path: str, value: tuple[Any, ...], names: Names) -> Iterator[tuple[str, Leaf]]:
    """Numbers as a range, rows and causes one by one, conditions and names as a list."""
    if value and all(isinstance(item, int | float) for item in value):
        yield from ((f"{path} {end}", float(item)) for end, item in zip(("from", "to"), value, strict=False))
    elif value and is_dataclass(value[0]):
        for item in value:
            yield from _pieces(path, item, names)
        if isinstance(value[0], Rule):
            yield ORDER, "; ".join(_row(item, names) for item in value)
    elif value:
        yield path, ", ".join(_plain(item, names) for item in value)


def _plain(item: Any, names: Names) -> str:
    if isinstance(item, Mapping):
        return _words(item, names)
    return " and ".join(names.get(each, each) for each in (item if isinstance(item, tuple) else (item,)))


def _row(rule: Rule, names: Names) -> str:
    return f"row when {_words(rule.when, names) or 'nothing else'}"


def _of_cause(cause: Cause, names: Names) -> Iterator[tuple[str, Leaf]]:
    source = names.get(cause.source, cause.source)
    if len(cause.responses) > 1:
        cases = (f"when {_words(response.when, names)}" for response in cause.responses)
        yield f"{source}, order of the cases", "; ".join(cases)
    for response in cause.responses:
        when = f", when {_words(response.when, names)}" if response.when else ""
        for state, chances in response.gives.items():
            said = source if state == "present" else f"{source} {state}"
            yield from ((f"{said} gives {level}{when}", float(p)) for level, p in chances.items())


def _words(match: Mapping[str, tuple[str, ...]], names: Names) -> str:
    """What must hold, in whatever order it was written."""
    renamed = {names.get(name, name): values for name, values in match.items()}
    return ", ".join(f"{name} {'/'.join(sorted(renamed[name]))}" for name in sorted(renamed))
