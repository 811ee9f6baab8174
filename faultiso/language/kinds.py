"""The kinds of value that a section can hold. Each reads a node and describes itself as JSON Schema.

``read`` returns the value, or None after it has told what is wrong, so that one run finds everything. Texts
come back as ``Word``. What refers to a name by its kind ("component", ...) is noted in the reader, and judged
once all names are known.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import Problem, Where
from faultiso.language.nodes import ListNode, MapNode, Node, Word

Schema = dict[str, Any]
_SHOWN = 40
LONGEST_NAME = 160  # component.fault, with room for a slip


@dataclass(frozen=True, slots=True)
class Reference:
    """A word that must be the name of something of one of these kinds."""

    word: Word
    kinds: tuple[str, ...]


@dataclass(slots=True)
class Reader:
    """Collects what reading a tree finds wrong, and which names it refers to."""

    problems: list[Problem] = field(default_factory=list)
    references: list[Reference] = field(default_factory=list)
    matches: list[Mapping[Word, tuple[Word, ...]]] = field(default_factory=list)

    def wrong(self, code: str, where: Where, message: str, nearest: str = "") -> None:
        self.problems.append(Problem(code, where, message, nearest))


class Kind(Protocol):
    def read(self, node: Node, reader: Reader) -> Any: ...

    def schema(self) -> Schema: ...


def found(node: Node) -> str:
    """What stands there, for a sentence."""
    if isinstance(node, ListNode):
        return "a list"
    if isinstance(node, MapNode):
        return "a group of names and values"
    if not node:
        return "nothing"
    return f'"{node}"' if len(node) <= _SHOWN else f'"{node[: _SHOWN - 3]}..."'


@dataclass(frozen=True)
class Text:
    """Words for people, or a level, an outcome: any text that is not empty."""

    empty: bool = False
    longest: int = 4000

    def read(self, node: Node, reader: Reader) -> Word | None:
        if isinstance(node, Word) and (node or self.empty) and len(node) <= self.longest:
            return node
        if isinstance(node, Word) and node:
            message = f"expected at most {self.longest} characters; found {len(node)}"
            reader.wrong("shape", node.where, message)
            return None
        hint = "; put a text with brackets in quotes" if not isinstance(node, Word) else ""
        reader.wrong("shape", node.where, f"expected a text; found {found(node)}{hint}")
        return None

    def schema(self) -> Schema:
        return {"type": ["string", "number", "boolean", *(["null"] if self.empty else [])]}


@dataclass(frozen=True)
class Level:
    """A value, level or outcome: a short text that a person can type, and that says something."""

    def read(self, node: Node, reader: Reader) -> Word | None:
        level = Text(longest=80).read(node, reader)
        if level is None:
            return None
        if level.casefold() == "nk":
            reader.wrong("level", level.where, '"nk" means "not known" everywhere; use another word')
        elif set(level) & set("=@\n"):
            reader.wrong("level", level.where, f"a level is one line without = and @; found {found(level)}")
        return level

    def schema(self) -> Schema:
        return Text().schema()


@dataclass(frozen=True)
class Name:
    """The name that something is given: a lower-case identifier."""

    hyphens: bool = False

    def read(self, node: Node, reader: Reader) -> Word | None:
        if isinstance(node, Word) and re.fullmatch(self.pattern, node):
            return node
        signs = "digits, - and _" if self.hyphens else "digits and _"
        message = f"expected a name in lower-case letters, {signs}, a letter first; found {found(node)}"
        joint = "-" if self.hyphens else "_"
        proposal = re.sub(r"[^a-z0-9]+", joint, node.lower()).strip(joint) if isinstance(node, Word) else ""
        reader.wrong(
            "identifier", node.where, message, proposal if re.fullmatch(self.pattern, proposal) else ""
        )
        return None

    @property
    def pattern(self) -> str:
        return "[a-z][a-z0-9_-]{0,79}" if self.hyphens else "[a-z][a-z0-9_]{0,79}"

    def schema(self) -> Schema:
        return {"type": "string", "pattern": f"^{self.pattern}$"}


@dataclass(frozen=True)
class Ref:
    """The name of something that stands elsewhere, of one of these kinds."""

    kinds: tuple[str, ...]

    def read(self, node: Node, reader: Reader) -> Word | None:
        if isinstance(node, Word) and 0 < len(node) <= LONGEST_NAME:
            reader.references.append(Reference(node, self.kinds))
            return node
        reader.wrong("shape", node.where, f"expected the name of {a_kind(self.kinds)}; found {found(node)}")
        return None

    def schema(self) -> Schema:
        return {"type": "string", "description": f"the name of {a_kind(self.kinds)}"}


def a_kind(kinds: tuple[str, ...]) -> str:
    """``a fault or an indication``."""
    return listed([f"{'an' if kind[0] in 'aei' else 'a'} {kind}" for kind in kinds])


_NUMBER = r"[-+]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][-+]?[0-9]+)?"


def _number_meant(word: str) -> str:
    """How a number with commas or blanks is to be written, for the end of a sentence, or ""."""
    if re.fullmatch(r"[-+]?[0-9]{1,3}([, ][0-9]{3})+(\.[0-9]+)?", word):
        return f"; write {re.sub('[, ]', '', word)} without a comma or a blank"
    if re.fullmatch(r"[-+]?[0-9]+,[0-9]+([eE][-+]?[0-9]+)?", word):
        return f"; a number is written with a point: {word.replace(',', '.')}"
    return ""


@dataclass(frozen=True)
class Number:
    """A number written with digits, in a range; ``what`` names it in messages."""

    low: float = 0.0
    high: float = 1e12
    what: str = "a number"
    whole: bool = False

    def read(self, node: Node, reader: Reader) -> float | None:
        if not (isinstance(node, Word) and re.fullmatch(_NUMBER, node)):
            hint = _number_meant(node) if isinstance(node, Word) else ""
            example = "41" if self.whole else "2.5 or 1e-6" if self.high > 1 else "0.02 or 1e-6"
            message = f"expected {self.what} such as {example}; found {found(node)}{hint}"
            reader.wrong("number", node.where, message)
            return None
        value, shown = float(node), node if len(node) <= _SHOWN else found(node)
        if not self.low <= value <= self.high:
            reader.wrong("bounds", node.where, f"{self.what} {self.bounds(value)}; found {shown}")
            value = min(max(value, self.low), self.high)
        if self.whole and value != int(value):
            reader.wrong("bounds", node.where, f"expected {self.what} without a fraction; found {shown}")
        return int(value) if self.whole else value

    def bounds(self, value: float) -> str:
        if self.high <= 1:
            return f"lies between {self.low:g} and {self.high:g}"
        return f"cannot be below {self.low:g}" if value < self.low else f"cannot be above {self.high:,.0f}"

    def schema(self) -> Schema:
        number = {"type": "integer" if self.whole else "number", "minimum": self.low, "maximum": self.high}
        return {"anyOf": [number, {"type": "string", "pattern": f"^{_NUMBER}$"}]}


CHANCE = Number(0.0, 1.0, "a probability")

_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(frozen=True)
class YesNo:
    """yes or no (also true or false)."""

    def read(self, node: Node, reader: Reader) -> bool | None:
        if isinstance(node, Word) and node.lower() in _YES_NO:
            return _YES_NO[node.lower()]
        reader.wrong("shape", node.where, f"expected yes or no; found {found(node)}")
        return None

    def schema(self) -> Schema:
        return {"enum": [True, False, *_YES_NO]}


@dataclass(frozen=True)
class OneOf:
    """One of a few fixed words."""

    options: tuple[str, ...]

    def read(self, node: Node, reader: Reader) -> Word | None:
        if isinstance(node, Word) and node in self.options:
            return node
        close = nearest(node, self.options) if isinstance(node, Word) else ""
        reader.wrong(
            "shape", node.where, f"expected {listed(self.options, limit=12)}; found {found(node)}", close
        )
        return None

    def schema(self) -> Schema:
        return {"enum": list(self.options)}


_SECONDS = {
    "s": 1.0,
    "second": 1.0,
    "seconds": 1.0,
    "min": 60.0,
    "minute": 60.0,
    "minutes": 60.0,
    "h": 3600.0,
}


@dataclass(frozen=True)
class Duration:
    """A time with its unit; read as seconds."""

    def read(self, node: Node, reader: Reader) -> float | None:
        parts = re.fullmatch(rf"({_NUMBER})\s*([a-z]+)", node) if isinstance(node, Word) else None
        if parts and parts[5] in _SECONDS and 0 <= float(parts[1]) < 1e9:
            return float(parts[1]) * _SECONDS[parts[5]]
        reader.wrong(
            "number", node.where, f"expected a time with its unit such as 20 s or 2 min; found {found(node)}"
        )
        return None

    def schema(self) -> Schema:
        return {"type": "string", "pattern": rf"^{_NUMBER}\s*({'|'.join(_SECONDS)})$"}
