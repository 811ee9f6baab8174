"""Plan first, then run: the junction tree of a network, made once and used for every batch of evidence.

A plan depends on the tables and on *which* variables are known in every column, never on observed values
(Lauritzen & Spiegelhalter 1988; Jensen, Lauritzen & Olesen 1990). Variables of a clique are listed in the
reverse of the elimination order, so that what a clique shares with its parent comes first and its own
variables come last: a message is then a reshape and a sum, nothing is ever transposed while running.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from math import prod

import numpy as np

from faultiso.base.problems import TooLarge
from faultiso.engine.order import Elimination, eliminate, moral_graph
from faultiso.network.network import Array, Network

BYTES = 8
DEFAULT_LIMIT = 1 << 30


@dataclass(frozen=True)
class Projection:
    """How a clique table is summed down to some of its variables, and how a table on these is spread over it.

    Neighbouring axes that are kept or summed together are merged: ``shape`` is the merged shape of the
    clique, ``axes`` what is summed, ``spread`` the shape of the smaller table that broadcasts over it.
    """

    shape: tuple[int, ...]
    axes: tuple[int, ...]
    spread: tuple[int, ...]
    size: int

    def down(self, table: Array) -> Array:
        """Sum (clique entries, columns) to (kept entries, columns)."""
        columns = table.shape[1:]
        summed: Array = table.reshape(self.shape + columns).sum(axis=self.axes)
        return summed.reshape((self.size, *columns))

    def up(self, table: Array) -> Array:
        """A view of (kept entries, columns) that broadcasts against the merged clique table."""
        return table.reshape(self.spread + table.shape[1:])


def project(variables: Sequence[int], kept: Iterable[int], cards: Sequence[int]) -> Projection:
    """The projection of a table over ``variables`` onto ``kept``, both in the order of ``variables``."""
    wanted = set(kept)
    runs = [(keep, prod(cards[v] for v in run)) for keep, run in groupby(variables, key=wanted.__contains__)]
    return Projection(
        shape=tuple(size for _, size in runs),
        axes=tuple(axis for axis, (keep, _) in enumerate(runs) if not keep),
        spread=tuple(size if keep else 1 for keep, size in runs),
        size=prod(size for keep, size in runs if keep),
    )


@dataclass(frozen=True)
class Clique:
    """A node of the junction tree; ``parent`` is -1 at the root. The separator leads the variables."""

    variables: tuple[int, ...]
    parent: int
    separator: tuple[int, ...]
    outer: int  # number of separator states
    inner: int  # number of states of the clique's own variables
    to_parent: Projection  # from the parent's table to this clique's separator


@dataclass(frozen=True)
class Plan:
    """A junction tree over the variables that are not ``given``; parents come before children in ``cliques``.

    ``given`` variables have a known state in every column: they are cut out of the tree, and their states
    are told with each batch. ``joint`` groups lie together in one clique.
    """

    network: Network
    given: frozenset[int]
    cliques: tuple[Clique, ...]
    position: Mapping[int, int]  # variable -> place in the order of the tables (last eliminated first)

    @cached_property
    def top(self) -> Mapping[int, int]:
        """The clique nearest to the root that contains each variable, as one of its own."""
        return {
            v: c for c, clique in enumerate(self.cliques) for v in clique.variables[len(clique.separator) :]
        }

    @cached_property
    def smallest(self) -> Mapping[int, int]:
        """The smallest clique that contains each variable."""
        found: dict[int, int] = {}
        for c in sorted(range(len(self.cliques)), key=lambda c: (-self.size(c), -c)):
            for v in self.cliques[c].variables:
                found[v] = c
        return found

    @cached_property
    def members(self) -> tuple[frozenset[int], ...]:
        """The variables of each clique as a set."""
        return tuple(frozenset(clique.variables) for clique in self.cliques)

    def clique_of(self, group: Sequence[int]) -> int | None:
        """A clique that contains all of ``group``; None if there is none (or the group is empty).

        If any clique does, then so does the top clique of the member that is eliminated first.
        """
        if len(group) == 1:
            return self.smallest[group[0]]
        if not group:
            return None
        clique = self.top[max(group, key=self.position.__getitem__)]
        return clique if self.members[clique].issuperset(group) else None

    def size(self, clique: int) -> int:
        """Number of table entries of a clique."""
        return self.cliques[clique].outer * self.cliques[clique].inner

    @cached_property
    def entries(self) -> int:
        """Total number of table entries of one column."""
        return sum(map(self.size, range(len(self.cliques))))

    def bytes(self, columns: int = 1) -> int:
        """Memory that a full propagation of ``columns`` columns needs at its peak, estimated.

        Kept with the plan: tables and conditionals without evidence. For the batch: conditionals and joints,
        and while the largest clique is worked on, two more tables of its size.
        """
        largest = max(map(self.size, range(len(self.cliques))), default=1)
        return BYTES * (self.entries * (2 + 2 * columns) + 2 * largest * columns)

    def ordered(self, variables: Iterable[int]) -> tuple[int, ...]:
        """Variables in the order in which every table of this plan lists them."""
        return tuple(sorted(variables, key=self.position.__getitem__))

    def describe(self, columns: int = 1) -> str:
        """A table of cliques for people."""
        names = self.network.names
        lines = [f"{'clique':>6}  {'entries':>9}  {'parent':>6}  variables (shared with the parent | own)"]
        for c, clique in enumerate(self.cliques):
            own = clique.variables[len(clique.separator) :]
            shared = " ".join(names[v] for v in clique.separator)
            parent = "" if clique.parent < 0 else str(clique.parent)
            mine = " ".join(names[v] for v in own)
            lines.append(f"{c:>6}  {self.size(c):>9}  {parent:>6}  {shared} | {mine}")
        total = f"{len(self.cliques)} cliques, {self.entries} table entries"
        lines.append(f"{total}, about {readable(self.bytes(columns))} for {columns} columns")
        return "\n".join(lines)


def compile_plan(
    network: Network,
    joint: Iterable[Sequence[int]] = (),
    *,
    given: Iterable[int] = (),
    limit: int = DEFAULT_LIMIT,
    tries: int = 0,
    order: Elimination | None = None,
) -> Plan:
    """The junction tree of ``network``.

    ``joint``: groups of variables that must lie together in one clique (the parents of a check that is left
    out of the network). ``given``: variables whose state is known in every column (cut out). ``tries``: how
    many further elimination orders with random ties are tried; ``order``: one that was found before. Raises
    ``TooLarge`` when one column would take more than ``limit`` bytes.
    """
    known = frozenset(given)
    order = order or find_order(network, joint, given=known, tries=tries)
    needed = BYTES * order.cost * 3
    if needed > limit:
        raise TooLarge(
            f"an exact answer needs about {readable(needed)} of memory, more than the limit of "
            f"{readable(limit)}; ask about fewer things at once or observe more first"
        )
    cliques, position = _tree(order, network.cards)
    return Plan(network, known, cliques, position)


def estimate(
    network: Network, joint: Iterable[Sequence[int]] = (), *, given: Iterable[int] = (), tries: int = 0
) -> float:
    """About how many table entries an exact answer needs for one column; nothing is allocated."""
    return find_order(network, joint, given=given, tries=tries).cost


def readable(size: float) -> str:
    """A number of bytes for people."""
    for unit in ("bytes", "kB", "MB", "GB"):
        if size < 1000:
            return f"{size:.0f} {unit}" if size >= 10 or unit == "bytes" else f"{size:.1f} {unit}"
        size /= 1000
    return f"{size:.3g} TB"


def find_order(
    network: Network, joint: Iterable[Sequence[int]] = (), *, given: Iterable[int] = (), tries: int = 0
) -> Elimination:
    """The elimination order that ``compile_plan`` would use."""
    known = frozenset(given)
    families = [(*parents, v) for v, parents in enumerate(network.parents)]
    groups = [*families, *map(tuple, joint)]
    if known:
        groups = [tuple(v for v in group if v not in known) for group in groups]
    neighbours = moral_graph(groups, len(network.names))
    variables = [v for v in range(len(network.names)) if v not in known]
    return eliminate(neighbours, network.cards, variables, tries=tries)


def _tree(order: Elimination, cards: Sequence[int]) -> tuple[tuple[Clique, ...], dict[int, int]]:
    """Cliques with the root first: a variable joins its parent's clique when that holds nothing else.

    Unconnected parts hang on the first clique by an empty separator, so that there is always one tree.
    """
    position = {v: place for place, v in enumerate(reversed(order.order))}
    variables: list[list[int]] = []
    parents: list[int] = []
    separators: list[tuple[int, ...]] = []
    place: dict[int, int] = {}
    for v in reversed(order.order):
        later = sorted(order.later[v], key=position.__getitem__)
        host = place[later[-1]] if later else min(len(variables) - 1, 0)
        if later and len(variables[host]) == len(later):
            variables[host].append(v)
            place[v] = host
            continue
        place[v] = len(variables)
        variables.append([*later, v])
        parents.append(host)
        separators.append(tuple(later))
    return _cliques(variables, parents, separators, cards), position


def _cliques(
    variables: Sequence[Sequence[int]],
    parents: Sequence[int],
    separators: Sequence[tuple[int, ...]],
    cards: Sequence[int],
) -> tuple[Clique, ...]:
    result = []
    for own, parent, separator in zip(variables, parents, separators, strict=True):
        outer = prod(cards[v] for v in separator)
        result.append(
            Clique(
                variables=tuple(own),
                parent=parent,
                separator=separator,
                outer=outer,
                inner=prod(cards[v] for v in own[len(separator) :]),
                to_parent=project(variables[parent] if parent >= 0 else (), separator, cards),
            )
        )
    return tuple(result)


def arrange(table: Array, variables: Sequence[int], plan: Plan) -> tuple[tuple[int, ...], Array]:
    """A table with the plan's order of axes: (variables in that order, transposed table).

    Further trailing axes stay where they are.
    """
    order = sorted(range(len(variables)), key=lambda axis: plan.position[variables[axis]])
    trailing = range(len(variables), table.ndim)
    return tuple(variables[axis] for axis in order), np.transpose(table, (*order, *trailing))
