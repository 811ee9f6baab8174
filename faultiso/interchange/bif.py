"""A strict reader of BIF, the interchange format of Bayesian networks (version 0.15).

Why not pgmpy's: see `pgmpy_door.bif_model`. This one reads what that one reads, keeps every digit, and
says in which line something is wrong; a row that is missing, doubled or does not sum to 1 is an error.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import product
from math import prod

import numpy as np

from faultiso.base.nearest import listed
from faultiso.base.problems import InvalidModel, Problem, Where
from faultiso.interchange.tables import frozen, parents_first
from faultiso.network.network import Array, Network

_TOKEN = re.compile(r'\s+|//[^\n]*|/\*.*?\*/|("[^"\n]*"|[{}()\[\]|;,]|[^\s{}()\[\]|;,"]+)', re.DOTALL)
_SIGNS = frozenset("{}()[]|;,")
#: A table that a slip of one digit would make: more cells than this are not asked of any file.
_MOST_CELLS = 1 << 22
#: Printed probabilities are rounded; a row may miss 1 by this much.
ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class _Token:
    text: str
    start: int


@dataclass
class _Table:
    """What a probability block says: rows by the states of the parents, or one flat table."""

    parents: list[str]
    start: int
    rows: dict[tuple[str, ...], tuple[list[float], int]] = field(default_factory=dict)
    flat: list[float] | None = None
    default: list[float] | None = None


class _Wrong(Exception):
    def __init__(self, message: str, start: int) -> None:
        self.message, self.start = message, start
        super().__init__(message)


def read(text: str, file: str = "") -> Network:
    """The network of a BIF text, variables in the file's order but parents first.

    Raises InvalidModel with the line of the first thing that is wrong.
    """
    try:
        states, tables = _Reader(text).blocks()
        return _network(states, tables, len(text))
    except _Wrong as wrong:
        raise InvalidModel((_problem(wrong, text, file),)) from None


def _problem(wrong: _Wrong, text: str, file: str) -> Problem:
    before = text[: wrong.start]
    line, column = before.count("\n") + 1, wrong.start - before.rfind("\n")
    return Problem("bif", Where(file, line, column), wrong.message)


class _Reader:
    """Walks through the tokens of a text, each block by its own method."""

    def __init__(self, text: str) -> None:
        self._tokens = list(_tokens(text))
        self._end = len(text)
        self._next = 0
        self.states: dict[str, tuple[str, ...]] = {}
        self.tables: dict[str, _Table] = {}

    def blocks(self) -> tuple[dict[str, tuple[str, ...]], dict[str, _Table]]:
        """The states of every variable and the table of every variable."""
        kinds = {"network": self._network, "variable": self._variable, "probability": self._probability}
        while self._next < len(self._tokens):
            token = self._take()
            if token.text not in kinds:
                raise _Wrong(f"found {token.text[:40]}; expected {listed(tuple(kinds))}", token.start)
            kinds[token.text]()
        if not self.states:
            raise _Wrong("no variable found; expected a network in the BIF format", 0)
        return self.states, self.tables

    def _peek(self) -> str:
        return self._tokens[self._next].text if self._next < len(self._tokens) else ""

    def _take(self, expected: str = "") -> _Token:
        if self._next == len(self._tokens):
            raise _Wrong(f"the file ends; expected {expected or 'more'}", self._end)
        token = self._tokens[self._next]
        if expected and token.text != expected:
            raise _Wrong(f"found {token.text[:40]}; expected {expected}", token.start)
        self._next += 1
        return token

    def _words(self, *ends: str) -> list[_Token]:
        """Words up to one of the signs, commas between them dropped; the sign stays."""
        words = []
        while (text := self._peek()) not in ends:
            token = self._take("" if text else ends[0])
            if token.text in _SIGNS - {","}:
                raise _Wrong(f"found {token.text}; expected {' or '.join(ends)}", token.start)
            if token.text != ",":
                words.append(token)
        return words

    def _name(self, *ends: str) -> _Token:
        """A name; words of a name with spaces are joined, as other programs do."""
        words = self._words(*ends)
        if not words:
            raise _Wrong("a name is missing", self._tokens[self._next].start)
        return _Token(" ".join(word.text.strip('"') for word in words), words[0].start)

    def _property(self) -> None:
        while self._take().text != ";":
            pass

    def _network(self) -> None:
        self._words("{")
        self._take("{")
        while self._peek() == "property":
            self._property()
        self._take("}")

    def _variable(self) -> None:
        name = self._name("{")
        if name.text in self.states:
            raise _Wrong(f"variable {name.text} stands here a second time", name.start)
        self._take("{")
        while self._peek() != "}":
            if self._peek() == "property":
                self._property()
            else:
                self.states[name.text] = self._type()
        if name.text not in self.states:
            raise _Wrong(f"variable {name.text} has no states; expected type discrete", name.start)
        self._take("}")

    def _type(self) -> tuple[str, ...]:
        start = self._take("type").start
        for expected in ("discrete", "["):
            self._take(expected)
        count = self._take().text
        for expected in ("]", "{"):
            self._take(expected)
        states = self._list("}")
        self._take("}")
        self._take(";")
        if str(len(states)) != count:
            raise _Wrong(f"found {len(states)} states; expected {count[:12]}", start)
        if len(set(states)) < len(states):
            raise _Wrong("two states have the same name", start)
        return states

    def _list(self, end: str) -> tuple[str, ...]:
        """Names up to the end sign, parted by commas or, where there is none, by spaces."""
        start = self._next
        words = [word.text.strip('"') for word in self._words(end)]
        if "," not in (token.text for token in self._tokens[start : self._next]):
            return tuple(words)
        names: list[str] = []
        name = ""
        for token in (*self._tokens[start : self._next], _Token(",", 0)):
            if token.text == ",":
                names, name = [*names, name], ""
            else:
                name = f"{name} {token.text.strip(chr(34))}".strip()
        return tuple(name for name in names if name)

    def _probability(self) -> None:
        self._take("(")
        name = self._name("|", ")")
        parents: tuple[str, ...] = ()
        if self._peek() == "|":
            self._take()
            parents = self._list(")")
        self._take(")")
        self._take("{")
        if name.text in self.tables:
            raise _Wrong(f"variable {name.text} has a second table here", name.start)
        table = self.tables[name.text] = _Table(list(parents), name.start)
        while self._peek() != "}":
            self._row(table)
        self._take("}")

    def _row(self, table: _Table) -> None:
        token = self._take("" if self._peek() else "}")
        if token.text == "property":
            return self._property()
        if token.text == "table":
            table.flat = self._numbers()
        elif token.text == "default":
            table.default = self._numbers()
        elif token.text == "(":
            key = self._list(")")
            self._take(")")
            if key in table.rows:
                raise _Wrong(f"row ({', '.join(key)}) stands here a second time", token.start)
            table.rows[key] = (self._numbers(), token.start)
        else:
            raise _Wrong(f"found {token.text[:40]}; expected table, default or ( states )", token.start)
        return None

    def _numbers(self) -> list[float]:
        numbers = [_number(word) for word in self._words(";")]
        self._take(";")
        return numbers


def _tokens(text: str) -> Iterator[_Token]:
    place = 0
    while place < len(text):
        found = _TOKEN.match(text, place)
        if found is None:
            raise _Wrong("a quotation mark is not closed", place)
        if found[1]:
            yield _Token(found[1], place)
        place = found.end()


def _number(word: _Token) -> float:
    try:
        number = float(word.text)
    except ValueError:
        number = np.nan
    if not 0.0 <= number <= 1.0:
        raise _Wrong(f"found {word.text[:40]}; expected a probability in 0..1", word.start)
    return number


def _network(states: Mapping[str, tuple[str, ...]], tables: Mapping[str, _Table], end: int) -> Network:
    for name, table in tables.items():
        for other in (name, *table.parents):
            if other not in states:
                raise _Wrong(f"{other} is no variable of this file", table.start)
        if len({name, *table.parents}) <= len(table.parents):
            raise _Wrong(f"{name} or one of its parents is named twice", table.start)
    for name in states:
        if name not in tables:
            raise _Wrong(f"variable {name} has no table; expected probability ( {name} ...", end)
    try:
        order = parents_first(list(states), {name: table.parents for name, table in tables.items()})
    except ValueError as circle:
        raise _Wrong(str(circle), 0) from None
    index = {name: v for v, name in enumerate(order)}
    return Network(
        names=tuple(order),
        states=tuple(states[name] for name in order),
        parents=tuple(tuple(index[p] for p in tables[name].parents) for name in order),
        tables=tuple(_array(name, tables[name], states) for name in order),
    )


def _array(name: str, table: _Table, states: Mapping[str, tuple[str, ...]]) -> Array:
    """The table of shape (states of each parent..., states of the variable)."""
    shape = (*(len(states[parent]) for parent in table.parents), len(states[name]))
    if prod(shape) > _MOST_CELLS:
        raise _Wrong(f"the table of {name} would have {prod(shape):,} cells", table.start)
    array = _flat(name, table, shape) if table.flat is not None else _rows(name, table, states, shape)
    sums = array.sum(axis=-1)
    wrong = np.abs(sums - 1.0).max()
    if wrong > ROUNDING:
        found = sums.ravel()[np.abs(sums - 1.0).argmax()]
        raise _Wrong(f"a row of {name} sums to {found:.9g}; expected 1", table.start)
    return frozen(array)


def _flat(name: str, table: _Table, shape: tuple[int, ...]) -> Array:
    """`table` lists the variable's own states slowest, the last parent's fastest."""
    assert table.flat is not None
    if table.rows or len(table.flat) != prod(shape):
        raise _Wrong(f"found {len(table.flat)} numbers for {name}; expected {prod(shape)}", table.start)
    return np.moveaxis(np.array(table.flat).reshape(shape[-1], *shape[:-1]), 0, -1)


def _rows(name: str, table: _Table, states: Mapping[str, tuple[str, ...]], shape: tuple[int, ...]) -> Array:
    keys = list(product(*(states[parent] for parent in table.parents)))
    known = set(keys)
    for key, (numbers, start) in table.rows.items():
        if key not in known:
            raise _Wrong(f"({', '.join(key)}) are no states of the parents of {name}", start)
        if len(numbers) != shape[-1]:
            raise _Wrong(f"found {len(numbers)} numbers; expected {shape[-1]}", start)
    missing = [key for key in keys if key not in table.rows]
    if missing and (table.default is None or len(table.default) != shape[-1]):
        raise _Wrong(f"{name} has no row ({', '.join(missing[0])})", table.start)
    rows = [table.rows[key][0] if key in table.rows else table.default for key in keys]
    return np.array(rows).reshape(shape)
