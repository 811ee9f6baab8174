"""Rows that share a timeline, compiled once: each row a column, each figure's event in it with its chance.

Other values of the figures never compile anew: a root with another distribution is the old one with weights
on its states, and the errors of checks are weights on what the checks read.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import TooLarge
from faultiso.engine.cutset import Mixture, compile_cut, propagate_cut
from faultiso.engine.plan import Plan, compile_plan
from faultiso.engine.propagate import Propagation, propagate
from faultiso.learning.figures import ERRORS, Figure, Kind
from faultiso.learning.finding import Findings
from faultiso.learning.looks import PARTS, Look, looks_of
from faultiso.learning.roots import ONE, Roots, chance_of, distribution, owner_of, states_of
from faultiso.learning.rows import Counted
from faultiso.network.builder import CONSTANT
from faultiso.network.ground import PRESENT
from faultiso.network.network import Array, Network
from faultiso.network.simplify import absorb

LIMIT = 1 << 28  # bytes that one batch of columns may take


@dataclass(frozen=True)
class Event:
    """What a figure is the chance of, in this scene: of a root ``states``, of a check's look its error."""

    figure: int
    variable: int
    states: tuple[int, ...] = ()
    look: int = -1


@dataclass(frozen=True)
class Expected:
    """For each column (last axis): natural logarithm of P(row), and of each event the chance that it
    happened, and that it could have and did not. ``present``: P(fault present), shape (faults, columns)."""

    log_chance: Array
    happened: Array
    failed: Array
    present: Array


@dataclass(frozen=True)
class Only:
    """A row in which an event is taken to have happened, or to have failed to happen."""

    row: int
    event: int
    happened: bool = True


class Scene:
    """``rows``: of one timeline, one column each. ``weak`` as in ``Findings``."""

    def __init__(
        self, ground: Roots, rows: Sequence[Counted], figures: Sequence[Figure], weak: float
    ) -> None:
        self.rows = tuple(rows)
        self.times = np.array([row.times for row in rows], dtype=float)
        self._figures, self._model = figures, ground.model
        timeline = rows[0].row.timeline
        findings = Findings(ground, timeline, rows, weak)
        looks = looks_of(ground, timeline, rows)
        seen = ({look.variable for look in looks} | findings.variables) - {CONSTANT}
        self._network, self._place, self._roots = _smaller(ground, seen)
        self.one = self._roots.get(
            ONE, CONSTANT
        )  # the variable that tells which fault it is, if there is one
        self._faults = list(findings.faults.values())
        self._looks = [look.at(self._place[look.variable]) for look in looks]
        self._found = findings.weights(self._place)
        self.events = (*self._of_roots(), *self._of_looks())

    def expect(self, values: Array, only: Sequence[Only] | None = None) -> Expected:
        """``values``: of the figures now. ``only``: these columns instead of one for each row."""
        many = len(self.rows) if only is None else len(only)
        block = max(1, LIMIT // max(self._plan.bytes(1), 1))
        parts = [
            self._block(values, np.arange(start, min(start + block, many)), only)
            for start in range(0, many, block)
        ]
        return Expected(
            np.concatenate([part.log_chance for part in parts]),
            np.hstack([part.happened for part in parts]),
            np.hstack([part.failed for part in parts]),
            np.hstack([part.present for part in parts]),
        )

    def _block(self, values: Array, columns: NDArray[np.intp], only: Sequence[Only] | None) -> Expected:
        told = [] if only is None else [only[column] for column in columns]
        rows = columns if only is None else np.array([each.row for each in told], dtype=np.intp)
        parts = [look.parts(self._errors_of(look, values), rows) for look in self._looks]
        self._tell_errors(parts, told)
        totals = [np.asarray(sum(part)) for part in parts]
        evidence = self._evidence(values, rows, totals)
        self._tell_roots(evidence, told)
        constant = evidence.pop(CONSTANT, np.ones((1, len(rows))))[0]
        run = self._run(evidence, len(rows))
        with np.errstate(divide="ignore"):
            log_chance = run.log_evidence + np.log(constant)
        happened, failed = self._of_events(run, parts, totals, len(rows))
        return Expected(log_chance, happened, failed, self._present(run, len(rows)))

    def _evidence(self, values: Array, rows: NDArray[np.intp], totals: Sequence[Array]) -> dict[int, Array]:
        """The product of all weights on each variable, shape (states, columns)."""
        found = {variable: weight[:, rows] for variable, weight in self._found.items()}
        more = [(look.variable, total) for look, total in zip(self._looks, totals, strict=True)]
        more += [(variable, weight[:, None]) for variable, weight in self._root_weights(values).items()]
        for variable, weight in more:
            before = found.get(variable, np.ones((1, len(rows))))
            found[variable] = before * weight
        return found

    def _run(self, evidence: Mapping[int, Array], columns: int) -> Propagation | Mixture:
        if self._plan.given:
            return propagate_cut(self._plan, evidence, columns, self._wanted)
        return propagate(self._plan, evidence, columns=columns, wanted=self._wanted)

    @cached_property
    def _plan(self) -> Plan:
        try:
            return compile_plan(self._network, limit=LIMIT)
        except TooLarge:
            return compile_cut(self._network, LIMIT)

    @cached_property
    def _wanted(self) -> list[int]:
        faults = {self._place[node.variable] for node in self._faults}
        looked = {look.variable for look in self._looks}
        return sorted((faults | looked | set(self._roots.values())) - {CONSTANT})

    # what the figures are the chances of

    def _of_roots(self) -> list[Event]:
        owners = [owner_of(figure, self._model) for figure in self._figures]
        return [
            Event(number, self._roots[owner], states_of(self._figures[number], self._model))
            for number, owner in enumerate(owners)
            if owner in self._roots
        ]

    def _of_looks(self) -> list[Event]:
        return [
            Event(number, look.variable, look=place)
            for place, look in enumerate(self._looks)
            if look.errs
            for number in self._errors.get(look.sign.name, ())
        ]

    @cached_property
    def _errors(self) -> dict[str, list[int]]:
        """The figures of each check's errors."""
        found: dict[str, list[int]] = {}
        for number, figure in enumerate(self._figures):
            if figure.kind in ERRORS:
                found.setdefault(figure.of, []).append(number)
        return found

    def _errors_of(self, look: Look, values: Array) -> dict[Kind, float]:
        numbers = self._errors.get(look.sign.name, ())
        return {self._figures[number].kind: float(values[number]) for number in numbers}

    def _root_weights(self, values: Array) -> dict[int, Array]:
        """For each root, its distribution now over that with which it was compiled."""
        chances: dict[int, dict[tuple[int, ...], float]] = {}
        hours = self._model.flight_hours_at_risk
        for event in self.events:
            if event.look < 0:
                chance = chance_of(self._figures[event.figure], float(values[event.figure]), hours)
                chances.setdefault(event.variable, {})[event.states] = chance
        tables = self._network.tables
        return {v: distribution(tables[v], of, v == self.one) / tables[v] for v, of in chances.items()}

    def _tell_errors(self, parts: Sequence[list[Array]], told: Sequence[Only]) -> None:
        for column, each in enumerate(told):
            event = self.events[each.event]
            if event.look >= 0:
                kept = PARTS[self._figures[event.figure].kind][0 if each.happened else 1]
                for place, part in enumerate(parts[event.look]):
                    part[:, column] *= place == kept

    def _tell_roots(self, evidence: Mapping[int, Array], told: Sequence[Only]) -> None:
        for column, each in enumerate(told):
            event = self.events[each.event]
            if event.look < 0:
                inside = np.isin(np.arange(self._network.cards[event.variable]), event.states)
                evidence[event.variable][:, column] *= inside == each.happened

    def _of_events(
        self,
        run: Propagation | Mixture,
        parts: Sequence[Sequence[Array]],
        totals: Sequence[Array],
        columns: int,
    ) -> tuple[Array, Array]:
        happened = np.zeros((len(self.events), columns))
        failed = np.zeros_like(happened)
        spreads: dict[int, Array] = {CONSTANT: np.ones((1, columns))}
        for place, event in enumerate(self.events):
            if event.variable not in spreads:
                spreads[event.variable] = run.marginal(event.variable)
            spread = spreads[event.variable]
            if event.look < 0:
                happened[place] = spread[list(event.states)].sum(axis=0)
                failed[place] = 1.0 - happened[place]
            else:
                total = totals[event.look]
                share = np.divide(spread, total, out=np.zeros(total.shape), where=total > 0)
                yes, no = PARTS[self._figures[event.figure].kind]
                happened[place] = (share * parts[event.look][yes]).sum(axis=0)
                failed[place] = (share * parts[event.look][no]).sum(axis=0)
        return happened, failed

    def _present(self, run: Propagation | Mixture, columns: int) -> Array:
        found = np.zeros((len(self._faults), columns))
        for row, node in enumerate(self._faults):
            there = np.array([float(label == PRESENT) for label in node.labels])
            of_states = np.ones((1, columns)) if node.constant else run.marginal(self._place[node.variable])
            found[row] = there @ of_states
        return found


def _smaller(ground: Roots, seen: set[int]) -> tuple[Network, dict[int, int], dict[Hashable, int]]:
    """The network of what is seen and all roots above it; places of the builder's variables; the roots."""
    owners = ground.owners()
    network, place = ground.builder.freeze(sorted(seen))
    roots = {owner: place[variable] for owner, variable in owners.items() if variable in place}
    smaller, moved = absorb(network, sorted({*(place[v] for v in seen), *roots.values()}))
    places = {variable: moved[i] for variable, i in place.items() if i in moved}
    return smaller, {**places, CONSTANT: CONSTANT}, {owner: moved[i] for owner, i in roots.items()}
