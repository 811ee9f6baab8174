"""Kinds of value that hold others: lists, tables, records, conditions that must hold together."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from faultiso.base.nearest import listed, nearest
from faultiso.language.kinds import CHANCE, Kind, Name, Reader, Ref, Schema, Text, found
from faultiso.language.nodes import ListNode, MapNode, Node, Word


@dataclass(frozen=True)
class ListOf:
    """A list; the brackets may be left out round a single item. ``most`` bounds its length."""

    item: Kind
    least: int = 0
    most: int = 2000
    example: str = "[name, name]"

    def read(self, node: Node, reader: Reader) -> tuple[Any, ...] | None:
        nodes = self.items(node)
        if len(nodes) < self.least:
            message = f"expected at least {self.least} in brackets such as {self.example}; found {len(nodes)}"
            reader.wrong("shape", node.where, message)
            return None
        if len(nodes) > self.most:
            reader.wrong("shape", node.where, f"expected at most {self.most} here; found {len(nodes)}")
            return None
        values = (self.item.read(inner, reader) for inner in nodes)
        return tuple(value for value in values if value is not None)

    def items(self, node: Node) -> tuple[Node, ...]:
        """The items; a list of words is a single item where lists of words are expected as items."""
        if not isinstance(node, ListNode):
            return (node,)
        single = takes_words(self.item) and node.items and all(isinstance(item, Word) for item in node.items)
        return (node,) if single else node.items

    def schema(self) -> Schema:
        item = self.item.schema()
        array = {"type": "array", "items": item, "minItems": self.least}
        return array if self.least > 1 else {"anyOf": [array, item]}


def takes_words(kind: Kind) -> bool:
    """Whether a value of this kind is itself a list of words."""
    return isinstance(kind, Pair | ListOf) or (isinstance(kind, Either) and takes_words(kind.other))


@dataclass(frozen=True)
class Pair:
    """A list of exactly two; ``ordered``: the first must not be above the second."""

    item: Kind
    example: str
    ordered: bool = False

    def read(self, node: Node, reader: Reader) -> tuple[Any, Any] | None:
        if not isinstance(node, ListNode) or len(node.items) != 2:
            reader.wrong(
                "shape", node.where, f"expected two in brackets such as {self.example}; found {found(node)}"
            )
            return None
        first, second = (self.item.read(inner, reader) for inner in node.items)
        if first is None or second is None:
            return None
        if self.ordered and first > second:
            reader.wrong(
                "range", node.where, f"expected the smaller number first; found {first:g} before {second:g}"
            )
            return None
        return first, second

    def schema(self) -> Schema:
        return {"type": "array", "items": self.item.schema(), "minItems": 2, "maxItems": 2}


@dataclass(frozen=True)
class Table:
    """Names and what belongs to each."""

    key: Kind
    value: Kind
    example: str = "{name: value}"

    def read(self, node: Node, reader: Reader) -> dict[Word, Any] | None:
        if not isinstance(node, MapNode):
            reader.wrong(
                "shape", node.where, f"expected names with values such as {self.example}; found {found(node)}"
            )
            return None
        read: dict[Word, Any] = {}
        for key, inner in node.entries:
            name, value = self.key.read(key, reader), self.value.read(inner, reader)
            if name is not None and value is not None:
                read[name] = value
        return read

    def schema(self) -> Schema:
        schema: Schema = {"type": "object", "additionalProperties": self.value.schema()}
        if isinstance(self.key, Name):
            schema["propertyNames"] = {"pattern": f"^{self.key.pattern}$"}
        return schema


@dataclass(frozen=True)
class Field:
    """One key of a record: its kind, what it means (for editors), and whether it must be there."""

    kind: Kind
    about: str
    required: bool = False


@dataclass(frozen=True)
class Record:
    """A fixed set of keys; read as a dict of those that are there, with "where" besides.

    ``also`` may look at the whole record and tell what is wrong with the combination of keys.
    """

    what: str
    fields: Mapping[str, Field]
    also: Callable[[MapNode, Reader], None] | None = None

    def read(self, node: Node, reader: Reader) -> dict[str, Any] | None:
        if isinstance(node, Word) and not node:
            node = MapNode((), node.where)
        if not isinstance(node, MapNode):
            expected = listed(list(self.fields), limit=6)
            reader.wrong("shape", node.where, f"expected {self.what} with {expected}; found {found(node)}")
            return None
        read: dict[str, Any] = {"where": node.where}
        for key, inner in node.entries:
            value = self.value(key, inner, reader)
            if value is not None:
                read[str(key)] = value
        self.require(node, reader)
        if self.also:
            self.also(node, reader)
        return read

    def value(self, key: Word, node: Node, reader: Reader) -> Any:
        known = self.fields.get(key)
        if known is not None:
            return known.kind.read(node, reader)
        close = nearest(key, self.fields)
        if isinstance(node, Word) and not node and not close:
            message = f'found a comma before "{key}"; a number is written with a point, such as 2.5'
            if not re.fullmatch(r"[0-9]+([eE][-+]?[0-9]+)?", key):
                message = f'"{key}" has no value; a text that has a comma in it needs quotes'
            reader.wrong("key", key.where, message)
            return None
        expected = "" if close else f"; expected {listed(list(self.fields), limit=len(self.fields))}"
        reader.wrong("key", key.where, f'{self.what} takes no "{key}"{expected}', close)
        return None

    def require(self, node: MapNode, reader: Reader) -> None:
        meant = {nearest(key, self.fields) for key, _ in node.entries if key not in self.fields}
        for name, known in self.fields.items():
            if known.required and node.get(name) is None and name not in meant:
                reader.wrong("missing", node.where, f'{self.what} needs "{name}": {known.about}')

    def schema(self) -> Schema:
        properties = {
            name: known.kind.schema() | {"description": known.about} for name, known in self.fields.items()
        }
        required = [name for name, known in self.fields.items() if known.required]
        kind = {"type": "object", "required": required} if required else {"type": ["object", "null"]}
        return kind | {"properties": properties, "additionalProperties": False}


@dataclass(frozen=True)
class Either:
    """A group in braces is read one way, everything else the other way."""

    group: Kind
    other: Kind

    def read(self, node: Node, reader: Reader) -> Any:
        return (self.group if isinstance(node, MapNode) else self.other).read(node, reader)

    def schema(self) -> Schema:
        return {"anyOf": [self.group.schema(), self.other.schema()]}


@dataclass(frozen=True)
class When:
    """Values that must hold together: name -> one value or a list. The values are judged with the names."""

    kinds: tuple[str, ...]

    def read(self, node: Node, reader: Reader) -> dict[Word, tuple[Word, ...]] | None:
        table = Table(Ref(self.kinds), ListOf(Text(), least=1), "{name: value}")
        read = table.read(node, reader)
        if read:
            reader.matches.append(read)
        return read

    def schema(self) -> Schema:
        return Table(Ref(self.kinds), ListOf(Text(), least=1)).schema() | {
            "description": "all of these must hold"
        }


@dataclass(frozen=True)
class Settings:
    """Conditions and the one value that each is brought to."""

    def read(self, node: Node, reader: Reader) -> dict[Word, Word] | None:
        read: dict[Word, Word] | None = Table(Ref(("condition",)), Text(), "{engine_1: idle}").read(
            node, reader
        )
        if read:
            reader.matches.append({name: (value,) for name, value in read.items()})
        return read

    def schema(self) -> Schema:
        return Table(Ref(("condition",)), Text()).schema()


@dataclass(frozen=True)
class Gives:
    """Probabilities by level; for a quantity as the cause, such a table for each of its levels."""

    def read(self, node: Node, reader: Reader) -> dict[Word, Any] | None:
        chances = Table(Text(), CHANCE, "{low: 0.9}")
        return Table(Text(), Either(chances, CHANCE), "{low: 0.9}").read(node, reader)

    def schema(self) -> Schema:
        chances = Table(Text(), CHANCE).schema()
        return {"type": "object", "additionalProperties": {"anyOf": [chances, CHANCE.schema()]}}
