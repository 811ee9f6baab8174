"""UAI files, with what the format has no room for beside them.

The format (UAI 2008 inference competition) numbers variables and states and lists each table with its last
variable, here the child, running fastest and the first slowest (pyAgrum 2 takes the parents the other way
round); it has no names and no comments, though some programs write "# ...". ``NAME.uai.names.txt`` therefore
lists the variables and their states, ``NAME.uai.notice.txt`` what every file of ours says.

Written and read by hand and not by pgmpy: its writer lists tables with the child running slowest behind a
scope that says otherwise, so that another program reads wrong numbers; its reader takes no exponent
(1e-07), and takes the parents from a set, in an order that differs from run to run.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import prod
from pathlib import Path

import numpy as np

from faultiso.base.problems import InvalidModel, Problem, Where
from faultiso.interchange.bif import ROUNDING
from faultiso.interchange.safe_names import safe, safe_state, unsafe
from faultiso.interchange.tables import frozen, parents_first
from faultiso.network.network import Array, Network

_MOST_CELLS = 1 << 22


def text_of(network: Network) -> str:
    """The network as UAI; every number is the shortest decimal that reads back as the same double."""
    lines = ["BAYES", str(len(network.names)), " ".join(map(str, network.cards)), str(len(network.names))]
    for v, parents in enumerate(network.parents):
        lines.append(" ".join(map(str, (len(parents) + 1, *parents, v))))
    for table in network.tables:
        lines += ["", str(table.size), *(" ".join(map(repr, row)) for row in _rows(table))]
    return "\n".join(lines) + "\n"


def _rows(table: Array) -> list[list[float]]:
    rows: list[list[float]] = table.reshape(-1, table.shape[-1]).tolist()
    return rows


def names_text(network: Network) -> str:
    """One line a variable: its name, a colon, its states (names as `safe_names` writes them)."""
    return "".join(
        f"{safe(name)}: {' '.join(map(safe_state, states))}\n"
        for name, states in zip(network.names, network.states, strict=True)
    )


def names_path(path: Path) -> Path:
    """Where the names of a UAI file stand."""
    return path.with_name(path.name + ".names.txt")


def notice_path(path: Path) -> Path:
    """Where the notice of a UAI file stands."""
    return path.with_name(path.name + ".notice.txt")


def read(text: str, names: str = "", file: str = "") -> Network:
    """The network of a UAI text. Without ``names`` variables are v0, v1, ... and states s0, s1, ...

    Raises InvalidModel, saying what was found and what was expected.
    """
    try:
        return _read(iter(re.sub("#[^\n]*", "", text).split()), names)
    except _Wrong as wrong:
        raise InvalidModel((Problem("uai", Where(file), str(wrong)),)) from None


class _Wrong(ValueError):
    pass


def _read(words: Iterator[str], names: str) -> Network:
    kind = next(words, "nothing")
    if kind != "BAYES":
        raise _Wrong(f"found {kind[:40]}; expected BAYES, the first word of a Bayesian network in UAI")
    count = _whole(words, "the number of variables", 1 << 20)
    cards = [_whole(words, "a number of states", 1 << 12) for _ in range(count)]
    functions = _whole(words, "the number of tables", 1 << 20)
    if functions != count:
        raise _Wrong(f"found {functions} tables; expected one for each of {count} variables")
    scopes = [_scope(words, count) for _ in range(count)]
    if {scope[-1] for scope in scopes} != set(range(count)):
        raise _Wrong("two tables end in the same variable; expected one table for each variable")
    tables = {scope[-1]: _table(words, scope, cards) for scope in scopes}
    if next(words, None) is not None:
        raise _Wrong("something follows the last table")
    return _network({scope[-1]: scope[:-1] for scope in scopes}, tables, _labels(names, cards))


def _whole(words: Iterator[str], what: str, most: int) -> int:
    word = next(words, "the end of the file")
    if not re.fullmatch("[0-9]{1,9}", word) or not 0 < int(word) <= most:
        raise _Wrong(f"found {word[:40]}; expected {what}")
    return int(word)


def _scope(words: Iterator[str], count: int) -> list[int]:
    scope = []
    for _ in range(_whole(words, "how many variables a table has", 64)):
        word = next(words, "the end of the file")
        if not re.fullmatch("[0-9]{1,9}", word) or int(word) >= count:
            raise _Wrong(f"found {word[:40]}; expected a variable, 0 to {count - 1}")
        scope.append(int(word))
    if len(set(scope)) < len(scope):
        raise _Wrong(f"a table names variable {scope[-1]} twice")
    return scope


def _table(words: Iterator[str], scope: list[int], cards: list[int]) -> Array:
    shape = tuple(cards[v] for v in scope)
    size = _whole(words, "how many numbers a table has", _MOST_CELLS)
    if size != prod(shape):
        raise _Wrong(f"the table of variable {scope[-1]} has {size} numbers; expected {prod(shape)}")
    table = np.array([_probability(next(words, "the end of the file")) for _ in range(size)]).reshape(shape)
    worst = float(np.abs(table.sum(axis=-1) - 1.0).max())
    if worst > ROUNDING:
        raise _Wrong(f"a row of variable {scope[-1]} misses a sum of 1 by {worst:.3g}")
    return table


def _probability(word: str) -> float:
    try:
        number = float(word)
    except ValueError:
        number = np.nan
    if not 0.0 <= number <= 1.0:
        raise _Wrong(f"found {word[:40]}; expected a probability in 0..1")
    return number


def _labels(names: str, cards: list[int]) -> list[tuple[str, tuple[str, ...]]]:
    if not names.strip():
        return [(f"v{v}", tuple(f"s{s}" for s in range(card))) for v, card in enumerate(cards)]
    lines = [line.partition(":") for line in names.splitlines() if line.strip()]
    labels = [(unsafe(name.strip()), tuple(map(unsafe, states.split()))) for name, _, states in lines]
    if [len(states) for _, states in labels] != cards or len({name for name, _ in labels}) < len(labels):
        raise _Wrong("the file of names does not fit: other variables, or other numbers of states")
    return labels


def _network(
    parents: dict[int, list[int]], tables: dict[int, Array], labels: list[tuple[str, tuple[str, ...]]]
) -> Network:
    names = [name for name, _ in labels]
    given = {names[v]: [names[p] for p in parents[v]] for v in parents}
    number = {name: v for v, name in enumerate(names)}
    try:
        order = [number[name] for name in parents_first(names, given)]
    except ValueError as circle:
        raise _Wrong(str(circle)) from None
    new = {v: i for i, v in enumerate(order)}
    return Network(
        names=tuple(names[v] for v in order),
        states=tuple(labels[v][1] for v in order),
        parents=tuple(tuple(new[p] for p in parents[v]) for v in order),
        tables=tuple(frozen(tables[v]) for v in order),
    )
