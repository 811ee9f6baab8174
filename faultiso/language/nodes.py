"""YAML text to a small tree in which every word knows its place; nothing is guessed, text stays text.

The tree is built from the event stream of PyYAML's C parser, so that size, depth, tags, anchors and
aliases are judged before anything grows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TypeAlias

import yaml

from faultiso.base.problems import Problem, Where
from faultiso.language.syntax import reworded, unreadable_character

MAX_BYTES = 2_000_000
MAX_DEPTH = 60
MAX_NODES = 40_000
LONGEST_KEY = 200


class Word(str):
    """A piece of text that knows where it stands in the file."""

    __slots__ = ("where",)
    where: Where

    @classmethod
    def at(cls, text: str, where: Where) -> Word:
        word = cls(text)
        word.where = where
        return word


@dataclass(frozen=True, slots=True)
class ListNode:
    """A YAML sequence."""

    items: tuple[Node, ...]
    where: Where


@dataclass(frozen=True, slots=True)
class MapNode:
    """A YAML mapping, in the order of the file."""

    entries: tuple[tuple[Word, Node], ...]
    where: Where

    def get(self, key: str) -> Node | None:
        return next((value for name, value in self.entries if name == key), None)


Node: TypeAlias = Word | ListNode | MapNode


def line_of(place: Where, here: Where) -> str:
    """``line 5``, with the file before it if that is not the one that we are in."""
    return f"line {place.line}" if place.file == here.file else f"{place.file}, line {place.line}"


class Refused(Exception):
    """Reading cannot go on; carries the one problem. Never leaves this room."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


def parse(text: str, file: str, problems: list[Problem], what: str = "model") -> Node | None:
    """The tree of a text, or None if it cannot be read; what is wrong is added to ``problems``.

    ``what``: the word for what the file should hold, for the messages.
    """
    spoilt = unreadable_character(text, file)
    if spoilt:
        problems.append(spoilt)
        return None
    builder = _Builder(file, problems, what)
    try:
        for event in _events(text, file):
            builder.take(event)
    except Refused as refused:
        problems.append(refused.problem)
        return None
    if builder.root is None:
        problems.append(Problem("empty", Where(file), f"the file is empty; expected a {what}"))
    return builder.root


def _events(text: str, file: str) -> Iterator[Any]:
    try:
        yield from yaml.parse(text, Loader=yaml.CSafeLoader)
    except yaml.YAMLError as error:
        raise Refused(reworded(error, text, file)) from None


class _Builder:
    """Turns events into nodes; a stack, no recursion, so that depth costs nothing."""

    def __init__(self, file: str, problems: list[Problem], what: str) -> None:
        self.file = file
        self.what = what
        self.problems = problems
        self.root: Node | None = None
        self.open: list[tuple[Where, list[Node]]] = []
        self.count = 0

    def take(self, event: Any) -> None:
        kind = type(event)
        if kind is yaml.ScalarEvent:
            self.refuse_marks(event)
            self.add(Word.at(event.value, self.span(event)))
        elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
            self.refuse_marks(event)
            self.descend(self.start(event))
        elif kind is yaml.MappingEndEvent:
            where, items = self.close(event)
            self.add(MapNode(tuple(self.pairs(items)), where))
        elif kind is yaml.SequenceEndEvent:
            where, items = self.close(event)
            self.add(ListNode(tuple(items), where))
        elif kind is yaml.AliasEvent:
            raise self.refused("alias", event, "aliases (*name) are not allowed; write the text out")
        elif kind is yaml.DocumentStartEvent and self.root is not None:
            raise self.refused(
                "documents", event, f'a second document starts here ("---"); one file is one {self.what}'
            )

    def descend(self, where: Where) -> None:
        if len(self.open) >= MAX_DEPTH:
            message = f"nested more than {MAX_DEPTH} levels deep; a {self.what} needs fewer than ten"
            raise Refused(Problem("depth", where, message))
        self.open.append((where, []))

    def close(self, event: Any) -> tuple[Where, list[Node]]:
        """The innermost open group; one that stands on a single line is marked to its closing bracket."""
        where, items = self.open.pop()
        end = event.end_mark
        if end.line + 1 == where.line and end.column >= where.column:
            where = Where(where.file, where.line, where.column, end.column + 1 - where.column)
        return where, items

    def add(self, node: Node) -> None:
        self.count += 1
        if self.count > MAX_NODES:
            message = (
                f"more than {MAX_NODES:,} names and values in one file; split or shorten the {self.what}"
            )
            raise Refused(Problem("size", node.where, message))
        if self.open:
            self.open[-1][1].append(node)
        else:
            self.root = node

    def pairs(self, items: list[Node]) -> Iterator[tuple[Word, Node]]:
        first: dict[str, Word] = {}
        for key, value in zip(items[::2], items[1::2], strict=True):
            if not isinstance(key, Word):
                message = "a list or a group stands before the colon; expected a name"
                self.problems.append(Problem("key", key.where, message))
            elif len(key) > LONGEST_KEY:
                message = f"a name of {len(key)} characters; is a quote or a colon missing?"
                self.problems.append(Problem("key", key.where, message))
            elif key in first:
                message = f'"{key}" is given twice; the first one is on line {first[key].where.line}'
                self.problems.append(Problem("duplicate", key.where, message))
            else:
                first[key] = key
                yield key, value

    def refuse_marks(self, event: Any) -> None:
        if event.anchor is not None:
            raise self.refused(
                "anchor", event, f"anchors (&{event.anchor}) are not allowed; write the text out"
            )
        if event.tag is not None:
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            raise self.refused(
                "tag", event, f'tags ({tag}) are not allowed; put a text that begins with "!" in quotes'
            )

    def refused(self, code: str, event: Any, message: str) -> Refused:
        return Refused(Problem(code, self.start(event), message))

    def start(self, event: Any) -> Where:
        mark = event.start_mark
        return Where(self.file, mark.line + 1, mark.column + 1)

    def span(self, event: Any) -> Where:
        start, end = event.start_mark, event.end_mark
        length = end.column - start.column if end.line == start.line else 1
        return Where(self.file, start.line + 1, start.column + 1, max(length, 1))
