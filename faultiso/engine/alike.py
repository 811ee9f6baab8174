"""Marginals of many columns at once, where columns that agree below a clique are worked on there once.

Sets of faults are such columns: they differ in the states of the fault variables, which are known, and most
subtrees of the junction tree see the same few states of them. So each clique has its own classes of columns:
two columns are in one class when all that is told in the clique and below it is the same. On the way back the
conditional tables are summed down, class by class, to what is asked before they meet the columns.

What a clique sends depends on its classes and on the evidence below it alone, so it is kept with the plan:
the next batch differs in a reading or two, and only what lies between these and the root is worked on again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from math import prod

import numpy as np
from numpy.typing import NDArray

from faultiso.engine.plan import DEFAULT_LIMIT, Plan, Projection, project
from faultiso.engine.propagate import blocks, cut
from faultiso.engine.tables import Known, Told, at_known, products, send, told_families
from faultiso.network.network import Array

FEW = 8  # classes up to which a product of matrices a class is quicker than one table for all columns
LARGE_CODE = 1 << 40
KEPT = 2  # batches whose messages are kept with the plan
MOST_KEPT = 1 << 25  # bytes of a plan up to which anything is kept: a belief may have dozens of plans

_NAME = "_alike"  # of what is kept with a plan
Index = NDArray[np.intp]
FIRST: Index = np.zeros(1, np.intp)
_Key = tuple[object, ...]


def marginals(
    plan: Plan,
    likelihoods: Mapping[int, Array],
    columns: int,
    wanted: Sequence[int],
    *,
    known: Known | None = None,
    limit: int = DEFAULT_LIMIT,
) -> tuple[Array, dict[int, Array]]:
    """(log evidence (columns,), {variable: (states, columns)}), as ``propagate`` gives them.

    Runs in blocks of columns that fit into ``limit`` bytes. Impossible columns give minus infinity and zeros.
    """
    logs = np.empty(columns)
    result = {v: np.empty((plan.network.cards[v], columns)) for v in wanted}
    for block in blocks(plan, columns, limit):
        some, _, told = cut(plan, likelihoods, (), known or {}, columns, block)
        logs[block], found = _Run(plan, some, block.stop - block.start, told).marginals(tuple(result))
        for v in wanted:
            result[v][:, block] = found[v]
    if _layout(plan).bytes > MOST_KEPT:
        del plan.__dict__[_NAME]
    return logs, result


@dataclass(frozen=True)
class Classes:
    """``first`` (classes,): one column of each; ``index`` (columns,): the class of each column.

    ``codes`` (..., classes) with ``sizes`` say what the columns of each class have in common.
    """

    sizes: tuple[int, ...]
    codes: Index
    first: Index
    index: Index

    @property
    def count(self) -> int:
        return len(self.first)


@dataclass(frozen=True, eq=False)
class _Batch:
    """What follows from the known states alone. ``constant`` (columns,): logarithm of what they fix.

    ``rows``: of each told table of each clique, shape (columns or 1,); ``classes``: of each clique.
    """

    constant: Array
    rows: tuple[tuple[Index, ...], ...]
    classes: tuple[Classes, ...]


@dataclass(frozen=True, eq=False)
class _Sent:
    """What a clique sends to its parent, one column a class, and what is needed on the way back.

    ``logs``: of the scales of the clique and all below it. ``summed``: the conditional on some targets.
    """

    number: int
    message: Array
    logs: Array
    conditional: Array
    summed: dict[tuple[int, ...], Array] = field(default_factory=dict)

    @property
    def bytes(self) -> int:
        return self.message.nbytes + self.conditional.nbytes + sum(t.nbytes for t in self.summed.values())


@dataclass(frozen=True)
class _Down:
    """How to sum a clique down to a target: its own part first, then, with the separator, the rest."""

    own: Projection | None  # from the clique to separator and own part of the target; None: separator alone
    rest: Projection | None  # from these to the target; None where nothing of the separator is in it


@dataclass(frozen=True)
class _Layout:
    """What does not change from batch to batch, kept with the plan. ``base`` (entries, 1) of each clique."""

    base: tuple[Array, ...]
    told: tuple[tuple[Told, ...], ...]
    constants: tuple[Told, ...]
    children: tuple[tuple[int, ...], ...]
    ways: dict[tuple[int, tuple[int, ...]], _Down] = field(default_factory=dict)
    batches: dict[_Key, _Batch] = field(default_factory=dict)
    sent: dict[int, dict[_Key, _Sent]] = field(default_factory=dict)
    numbers: Iterator[int] = field(default_factory=count)

    @property
    def bytes(self) -> int:
        """Of all tables that are kept."""
        sent = sum(each.bytes for of_clique in self.sent.values() for each in of_clique.values())
        return sent + sum(table.nbytes for table in self.base)


def _layout(plan: Plan) -> _Layout:
    kept: _Layout | None = plan.__dict__.get(_NAME)
    if kept is None:
        told: list[list[Told]] = [[] for _ in plan.cliques]
        constants: list[Told] = []
        for family in told_families(plan):
            (told[family.clique] if family.clique >= 0 else constants).append(family)
        children: list[list[int]] = [[] for _ in plan.cliques]
        for c, clique in enumerate(plan.cliques):
            if clique.parent >= 0:
                children[clique.parent].append(c)
        kept = plan.__dict__[_NAME] = _Layout(
            base=tuple(products(plan)),
            told=tuple(map(tuple, told)),
            constants=tuple(constants),
            children=tuple(map(tuple, children)),
        )
    return kept


def _batch(
    plan: Plan, known: Known, columns: int, evidence: Mapping[int, Sequence[tuple[int, Array]]]
) -> _Batch:
    """The classes of columns in every clique; kept, for sets of faults come again with other readings."""
    layout = _layout(plan)
    of_many = {c: [w for _, w in pairs if w.shape[1] > 1] for c, pairs in evidence.items()}
    key = (
        columns,
        tuple(np.asarray(known[v]).tobytes() for v in sorted(plan.given)),
        tuple((c, w.tobytes()) for c, many in of_many.items() for w in many),
    )
    if key not in layout.batches:
        if len(layout.batches) >= KEPT:
            del layout.batches[next(iter(layout.batches))]
        layout.batches[key] = _fresh_batch(plan, layout, known, columns, of_many)
    return layout.batches[key]


def _fresh_batch(
    plan: Plan, layout: _Layout, known: Known, columns: int, of_many: Mapping[int, Sequence[Array]]
) -> _Batch:
    constant = np.zeros(columns)
    with np.errstate(divide="ignore"):
        for told in layout.constants:
            constant = constant + np.log(told.at(known)[0])
    rows = tuple(tuple(told.rows(known) for told in of_clique) for of_clique in layout.told)
    classes: dict[int, Classes] = {}
    for c in range(len(plan.cliques) - 1, -1, -1):
        pairs = zip(rows[c], layout.told[c], strict=True)
        codes = [(row, told.states) for row, told in pairs if len(row) > 1]
        codes += [(_codes(weights), columns) for weights in of_many.get(c, ())]
        below = [classes[child] for child in layout.children[c]]
        codes += [(child.index, child.count) for child in below if child.count > 1]
        classes[c] = _classes(codes, columns)
    return _Batch(constant, rows, tuple(classes[c] for c in range(len(plan.cliques))))


class _Run:
    """One batch: towards the root when made, back again for what is asked."""

    def __init__(self, plan: Plan, likelihoods: Mapping[int, Array], columns: int, known: Known) -> None:
        self.plan, self.known = plan, known
        self.layout = _layout(plan)
        self.sent: dict[int, _Sent] = {}
        self._evidence: dict[int, list[tuple[int, Array]]] = {}
        told = self._enter(likelihoods)
        batch = _batch(plan, known, columns, self._evidence)
        self.classes, self._rows = batch.classes, batch.rows
        self.log_evidence = batch.constant + told
        for c in range(len(plan.cliques) - 1, -1, -1):
            self._collect(c)
        if plan.cliques:
            self.log_evidence = self.log_evidence + self.sent[0].logs[self.classes[0].index]

    def _enter(self, likelihoods: Mapping[int, Array]) -> Array:
        """Evidence on free variables goes to its clique; the logarithm of that on known ones is returned."""
        total = np.zeros(1)
        for v, weights in likelihoods.items():
            table = np.asarray(weights, dtype=float)
            table = table[:, None] if table.ndim == 1 else table
            if v in self.plan.given:
                _, table = at_known(table, (v,), self.plan.given, self.known)
                with np.errstate(divide="ignore"):
                    total = total + np.log(table)
            else:
                self._evidence.setdefault(self.plan.smallest[v], []).append((v, table))
        return total

    def _collect(self, c: int) -> None:
        """What a clique sends: as before, where its classes and all from below are as they were."""
        classes, rows = self.classes[c], self._rows[c]
        evidence = [
            (v, weights if weights.shape[1] == 1 else weights[:, classes.first])
            for v, weights in self._evidence.get(c, ())
        ]
        key = (
            classes.sizes,
            classes.codes.tobytes(),
            *(int(row[0]) if len(row) == 1 else -1 for row in rows),
            *((v, weights.tobytes()) for v, weights in evidence),
            *(self.sent[child].number for child in self.layout.children[c]),
        )
        kept = self.layout.sent.setdefault(c, {})
        if key not in kept:
            fresh = self._send(
                c, classes, [row[classes.first] if len(row) > 1 else row for row in rows], evidence
            )
            if len(kept) >= KEPT:
                del kept[next(iter(kept))]
            kept[key] = fresh
        self.sent[c] = kept[key]

    def _send(
        self, c: int, classes: Classes, rows: Sequence[Index], evidence: Sequence[tuple[int, Array]]
    ) -> _Sent:
        """The table of a clique with all from below, and its message; one column a class."""
        plan, layout = self.plan, self.layout
        table = layout.base[c]
        for v, weights in evidence:
            table = _times(table, project(plan.cliques[c].variables, (v,), plan.network.cards), weights)
        for told, row in zip(layout.told[c], rows, strict=True):
            own = told.table[row].T
            view = table.reshape(told.shape + table.shape[1:]) * own.reshape((*told.spread, -1))
            table = view.reshape(table.shape[0], -1)
        logs = np.zeros(classes.count)
        for child in layout.children[c]:
            below = self.classes[child].index[classes.first] if self.classes[child].count > 1 else FIRST
            table = _times(table, plan.cliques[child].to_parent, self.sent[child].message[:, below])
            logs = logs + self.sent[child].logs[below]
        message, scale, conditional = send(plan, c, table, keep=True)
        with np.errstate(divide="ignore"):
            return _Sent(next(layout.numbers), message, logs + np.log(scale), conditional)

    def marginals(self, wanted: tuple[int, ...]) -> tuple[Array, dict[int, Array]]:
        """The log evidence, and P(variable | evidence) of each wanted one, shape (states, columns)."""
        possible = (self.log_evidence > -np.inf).astype(float)
        found = {v: self._of_known(v) * possible for v in wanted if v in self.plan.given}
        free = [v for v in wanted if v not in self.plan.given]
        if not free:
            return self.log_evidence, found
        back = self.classes[0].index
        for v, table in self._distribute(free).items():
            found[v] = table[:, back] * possible
        return self.log_evidence, found

    def _of_known(self, v: int) -> Array:
        return (np.arange(self.plan.network.cards[v])[:, None] == np.asarray(self.known[v])).astype(float)

    def _distribute(self, wanted: Sequence[int]) -> dict[int, Array]:
        """P(variable | evidence) in each class of the root."""
        plan = self.plan
        asked: dict[int, list[int]] = {}
        for v in wanted:
            asked.setdefault(plan.smallest[v], []).append(v)
        needed = _on_the_way(plan, asked)
        separators: dict[int, Array] = {0: np.ones((1, self.classes[0].count))}
        found: dict[int, Array] = {}
        for c in range(len(plan.cliques)):
            if c not in needed:
                continue
            above = separators.pop(c)
            index = self.classes[c].index[self.classes[0].first]
            for v in asked.get(c, ()):
                found[v] = self._sum_down(c, (v,), above, index)
            for child in self.layout.children[c]:
                if child in needed:
                    separators[child] = self._sum_down(c, plan.cliques[child].separator, above, index)
        return found

    def _sum_down(self, c: int, target: tuple[int, ...], above: Array, index: Index) -> Array:
        """P(target | evidence), (entries, root classes), from P(separator | evidence) of the same shape."""
        way = self._way(c, target)
        if way.own is None:
            return above if way.rest is None else way.rest.down(above)
        sent = self.sent[c]
        if target not in sent.summed:
            sent.summed[target] = way.own.down(sent.conditional)
        of_classes = sent.summed[target]
        shaped = of_classes.reshape(len(above), -1, of_classes.shape[1])
        if way.rest is None:
            return _mixed(shaped, above, index)
        every = shaped if shaped.shape[2] == 1 else shaped[:, :, index]
        joint = every * above[:, None, :]
        return way.rest.down(joint.reshape(-1, joint.shape[2]))

    def _way(self, c: int, target: tuple[int, ...]) -> _Down:
        key = (c, target)
        if key not in self.layout.ways:
            self.layout.ways[key] = _down(self.plan, c, target)
        return self.layout.ways[key]


def _down(plan: Plan, c: int, target: tuple[int, ...]) -> _Down:
    clique, cards = plan.cliques[c], plan.network.cards
    separator = set(clique.separator)
    if separator.issuperset(target):
        whole = len(target) == len(separator)
        return _Down(None, None if whole else project(clique.separator, target, cards))
    kept = [v for v in clique.variables if v in separator or v in target]
    own = project(clique.variables, kept, cards)
    return _Down(own, None if separator.isdisjoint(target) else project(kept, target, cards))


def _mixed(of_classes: Array, above: Array, index: Index) -> Array:
    """Sum over the separator of (separator, target, classes) times (separator, root classes)."""
    count = of_classes.shape[2]
    if count == 1:
        return np.asarray(of_classes[:, :, 0].T @ above)
    if count > FEW:
        return np.asarray(np.einsum("stc,sc->tc", of_classes[:, :, index], above))
    result = np.empty((of_classes.shape[1], above.shape[1]))
    for number in range(count):
        same = np.flatnonzero(index == number)
        result[:, same] = of_classes[:, :, number].T @ above[:, same]
    return result


def _times(table: Array, way: Projection, smaller: Array) -> Array:
    """A clique table times a table on some of its variables; columns broadcast."""
    view = table.reshape(way.shape + table.shape[1:]) * way.up(smaller)
    return view.reshape(table.shape[0], -1)


def _on_the_way(plan: Plan, asked: Mapping[int, Sequence[int]]) -> set[int]:
    """The cliques that are asked, and all between them and the root."""
    needed: set[int] = set()
    for clique in asked:
        c = clique
        while c >= 0 and c not in needed:
            needed.add(c)
            c = plan.cliques[c].parent
    return needed


def _codes(weights: Array) -> Index:
    """A number for each column, the same for columns that are alike."""
    numbers: dict[bytes, int] = {}
    return np.array([numbers.setdefault(row.tobytes(), len(numbers)) for row in weights.T], dtype=np.intp)


def _classes(codes: Sequence[tuple[Index, int]], columns: int) -> Classes:
    """Columns with the same codes; ``codes``: (a number for each column, how many numbers there are)."""
    sizes = tuple(many for _, many in codes)
    if not codes:
        return Classes(sizes, FIRST, FIRST, np.zeros(columns, np.intp))
    if prod(sizes) > LARGE_CODE:
        rows = np.array([code for code, _ in codes])
        found, first, index = np.unique(rows, axis=1, return_index=True, return_inverse=True)
        return Classes(sizes, found, first, index.reshape(columns))
    together = codes[0][0]
    for code, many in codes[1:]:
        together = together * many + code
    return Classes(sizes, *np.unique(together, return_index=True, return_inverse=True))
