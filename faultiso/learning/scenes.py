"""Rows that share a timeline, compiled once: each row a column, each figure's event in it with its chance.

Other values of the figures never compile anew: a root with another distribution is the old one with weights
on its states, and the errors of checks are weights on what the checks read.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import TooLarge
from faultiso.belief.evidence import weights
from faultiso.belief.observed import sign_of
from faultiso.engine.cutset import Mixture, compile_cut, propagate_cut
from faultiso.engine.plan import Plan, compile_plan
from faultiso.engine.propagate import Propagation, propagate
from faultiso.learning.figures import ERRORS, Figure
from faultiso.learning.roots import ONE, Roots, chance_of, distribution, owner_of, states_of
from faultiso.learning.rows import Counted, Finding
from faultiso.model.parts import Check, Indication
from faultiso.network.builder import CONSTANT, Node
from faultiso.network.ground import PRESENT, both
from faultiso.network.network import Array
from faultiso.network.simplify import absorb
from faultiso.network.timeline import Timeline

LIMIT = 1 << 28  # bytes that one batch of columns may take
_EITHER = np.array([[0, 1], [1, 1]])


@dataclass(frozen=True)
class Look:
    """Readings of one thing in one draw. ``true`` (states,): the place of the outcome that is right;
    ``shown`` (outcomes, columns): the weight of each outcome by what was read."""

    sign: Indication | Check
    variable: int
    true: NDArray[np.intp]
    shown: Array
    chances: Array  # (states, outcomes), as the model states them


@dataclass(frozen=True)
class Event:
    """What a figure is the chance of, in this scene: of a root ``states``, of a check's look its error."""

    figure: int
    variable: int
    states: tuple[int, ...] = ()
    look: int = -1


@dataclass(frozen=True)
class Expected:
    """For each column (last axis): natural logarithm of P(row), and of each event the chance that it happened,
    and that it could have and did not. ``present``: P(fault present), shape (faults, columns)."""

    log_chance: Array
    happened: Array
    failed: Array
    present: Array


@dataclass(frozen=True)
class Only:
    """A column in which an event is taken to have happened, or (``not``) to have failed to happen."""

    column: int
    event: int
    happened: bool = True


class Scene:
    """``rows``: of one timeline, one column each."""

    def __init__(
        self, ground: Roots, rows: Sequence[Counted], figures: Sequence[Figure], weak: float
    ) -> None:
        self.rows = tuple(rows)
        self.times = np.array([row.times for row in rows], dtype=float)
        self.timeline = rows[0].row.timeline
        self._ground, self._figures, self._weak = ground, figures, weak
        model = ground.model
        self._hours = model.flight_hours_at_risk
        self._faults = {name: ground.present(name, self.timeline, 0) for name in model.faults}
        looks = self._looks()
        self._units = {u: self._unit(u) for u in sorted({u for r in rows for u in r.row.finding.units})}
        owners = ground.owners()
        seen = {look.variable for look in looks}
        seen |= {node.variable for node in (*self._faults.values(), *self._units.values())}
        network, place = ground.builder.freeze(sorted(seen - {CONSTANT}))
        roots = {owner: place[v] for owner, v in owners.items() if v in place}
        keep = {place[v] for v in seen - {CONSTANT}} | set(roots.values())
        self._network, moved = absorb(network, sorted(keep))
        self._place = {v: moved[i] for v, i in place.items() if i in moved}
        self._place[CONSTANT] = CONSTANT
        self._roots = {owner: moved[i] for owner, i in roots.items() if i in moved}
        self._looked = [Look(x.sign, self._place[x.variable], x.true, x.shown, x.chances) for x in looks]
        self.events = tuple(self._events())
        self._found = self._findings()

    # what is asked

    def expect(self, values: Array, only: Sequence[Only] | None = None) -> Expected:
        """``values``: of the figures now. ``only``: these columns instead of all, each with one event told."""
        many = len(self.rows) if only is None else len(only)
        block = max(1, LIMIT // max(self._plan.bytes(1), 1))
        parts = []
        for start in range(0, many, block):
            stop = min(many, start + block)
            columns = np.arange(start, stop)
            told = None if only is None else only[start:stop]
            parts.append(self._block(values, columns if told is None else columns * 0, told))
        return Expected(
            np.concatenate([part.log_chance for part in parts]),
            np.hstack([part.happened for part in parts]),
            np.hstack([part.failed for part in parts]),
            np.hstack([part.present for part in parts]),
        )

    def _block(self, values: Array, columns: NDArray[np.intp], only: Sequence[Only] | None) -> Expected:
        if only is not None:
            columns = np.array([each.column for each in only], dtype=np.intp)
        parts = [self._parts(look, values, columns) for look in self._looked]
        if only is not None:
            self._tell_errors(parts, only)
        totals = [sum(part) for part in parts]
        evidence = self._evidence(values, columns, totals, only)
        constant = evidence.pop(CONSTANT, np.ones((1, len(columns))))[0]
        run = self._run(evidence, len(columns))
        with np.errstate(divide="ignore"):
            log_chance = run.log_evidence + np.log(constant)
        happened, failed = self._of_events(run, parts, totals, columns)
        return Expected(log_chance, happened, failed, self._present(run, len(columns)))

    def _evidence(
        self, values: Array, columns: NDArray[np.intp], totals: Sequence[Array], only: Sequence[Only] | None
    ) -> dict[int, Array]:
        evidence: dict[int, Array] = {v: found[:, columns] for v, found in self._found.items()}

        def add(variable: int, weight: Array) -> None:
            evidence[variable] = evidence[variable] * weight if variable in evidence else weight

        for look, total in zip(self._looked, totals, strict=True):
            add(look.variable, total)
        for variable, weight in self._root_weights(values).items():
            add(variable, np.repeat(weight[:, None], len(columns), axis=1))
        for number, each in enumerate(only or ()):
            event = self.events[each.event]
            if event.look < 0:
                mask = np.zeros(self._network.cards[event.variable])
                mask[list(event.states)] = 1.0
                before = evidence[event.variable]
                told = before.copy()
                told[:, number] *= mask if each.happened else 1.0 - mask
                evidence[event.variable] = told
        return evidence

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
        looked = {look.variable for look in self._looked}
        faults = {self._place[node.variable] for node in self._faults.values()}
        return sorted((looked | faults | set(self._roots.values())) - {CONSTANT})

    # what was read

    def _looks(self) -> list[Look]:
        """Each thing that is read in some row, with what all the rows say of it."""
        found: dict[tuple[str, Node, int], Array] = {}
        for column, counted in enumerate(self.rows):
            for reading in counted.row.readings:
                sign = sign_of(self._ground.model, reading.sign)
                node = self._ground.true_outcome(sign, self.timeline, reading.moment)
                shown = found.setdefault(
                    (sign.name, node, reading.draw), np.ones((len(sign.outcomes), len(self.rows)))
                )
                of_outcome = weights(reading, sign)
                shown[:, column] *= [of_outcome[outcome] for outcome in sign.outcomes]
        return [self._look(name, node, shown) for (name, node, _), shown in found.items()]

    def _look(self, name: str, node: Node, shown: Array) -> Look:
        sign = sign_of(self._ground.model, name)
        rows = self._ground.reading_chances(sign)
        true = np.array([sign.outcomes.index(label) for label in node.labels], dtype=np.intp)
        return Look(sign, node.variable, true, shown, np.array([rows[label] for label in node.labels]))

    def _parts(self, look: Look, values: Array, columns: NDArray[np.intp]) -> list[Array]:
        """The weight of each state (states, columns): read rightly, missed, a false alarm, and rightly quiet.

        Of an indication one part: its misreading is no figure to learn.
        """
        shown = look.shown[:, columns]
        if isinstance(look.sign, Indication) or len(look.sign.outcomes) == 1:
            return [look.chances @ shown]
        miss, alarm = self._errors_of(look.sign, values)
        quiet = (look.true == 0)[:, None]
        others = shown[1:].sum(axis=0) / (len(shown) - 1)
        return [
            np.where(quiet, 0.0, (1 - miss) * shown[look.true]),
            np.where(quiet, 0.0, miss * shown[0]),
            np.where(quiet, alarm * others, 0.0),
            np.where(quiet, (1 - alarm) * shown[0], 0.0),
        ]

    def _errors_of(self, check: Check, values: Array) -> tuple[float, float]:
        found = dict(zip(ERRORS, (check.miss, check.false_alarm), strict=True))
        for number in self._errors.get(check.name, ()):
            found[self._figures[number].kind] = float(values[number])  # type: ignore[index]
        return found["miss"], found["false_alarm"]

    @cached_property
    def _errors(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number, figure in enumerate(self._figures):
            if figure.kind in ERRORS:
                found.setdefault(figure.of, []).append(number)
        return found

    def _tell_errors(self, parts: list[list[Array]], only: Sequence[Only]) -> None:
        for number, each in enumerate(only):
            event = self.events[each.event]
            if event.look >= 0:
                happened, failed = _PARTS[self._figures[event.figure].kind]
                for place, part in enumerate(parts[event.look]):
                    if place != (happened if each.happened else failed):
                        part[:, number] = 0.0

    # what the figures are the chances of

    def _events(self) -> list[Event]:
        found = []
        for number, figure in enumerate(self._figures):
            owner = owner_of(figure, self._ground.model)
            if owner in self._roots:
                found.append(
                    Event(number, self._roots[owner], states_of(figure, self._ground.model))
                )
        for place, look in enumerate(self._looked):
            if isinstance(look.sign, Check) and len(look.sign.outcomes) > 1:
                found += [Event(n, look.variable, look=place) for n in self._errors.get(look.sign.name, ())]
        return found

    def _root_weights(self, values: Array) -> dict[int, Array]:
        """For each root, its distribution now over that with which it was compiled."""
        of_root: dict[int, dict[tuple[int, ...], float]] = {}
        for event in self.events:
            if event.look < 0:
                chance = chance_of(self._figures[event.figure], float(values[event.figure]), self._hours)
                of_root.setdefault(event.variable, {})[event.states] = chance
        one = self._roots.get(ONE, CONSTANT)
        return {
            variable: distribution(self._network.tables[variable], chances, variable == one)
            / self._network.tables[variable]
            for variable, chances in of_root.items()
        }

    def _of_events(
        self,
        run: Propagation | Mixture,
        parts: Sequence[Sequence[Array]],
        totals: Sequence[Array],
        columns: NDArray[np.intp],
    ) -> tuple[Array, Array]:
        happened = np.zeros((len(self.events), len(columns)))
        failed = np.zeros_like(happened)
        spreads: dict[int, Array] = {CONSTANT: np.ones((1, len(columns)))}
        for place, event in enumerate(self.events):
            if event.variable not in spreads:
                spreads[event.variable] = run.marginal(event.variable)
            spread = spreads[event.variable]
            if event.look < 0:
                happened[place] = spread[list(event.states)].sum(axis=0)
                failed[place] = 1.0 - happened[place]
                continue
            total = totals[event.look]
            share = np.divide(spread, total, out=np.zeros_like(total), where=total > 0)
            yes, no = _PARTS[self._figures[event.figure].kind]
            happened[place] = (share * parts[event.look][yes]).sum(axis=0)
            failed[place] = (share * parts[event.look][no]).sum(axis=0)
        return happened, failed

    def _present(self, run: Propagation | Mixture, columns: int) -> Array:
        found = np.zeros((len(self._faults), columns))
        for row, node in enumerate(self._faults.values()):
            there = np.array([float(label == PRESENT) for label in node.labels])
            if node.constant:
                found[row] = there[0]
            else:
                found[row] = there @ run.marginal(self._place[node.variable])
        return found

    # what was found

    def _unit(self, unit: str) -> Node:
        """Whether any fault of the unit is there."""
        faults = self._ground.model.components[unit].faults
        node = self._faults[faults[0].name]
        for fault in faults[1:]:
            node = both(self._ground.builder, f"{unit}, any", node, self._faults[fault.name], _EITHER)
        return node

    def _findings(self) -> dict[int, Array]:
        """Weights of the states of faults and units by what each row says was found."""
        found: dict[int, Array] = {}
        for column, counted in enumerate(self.rows):
            for node, absent, present in self._said(counted.row.finding):
                of_state = [present if label == PRESENT else absent for label in node.labels]
                variable = self._place[node.variable]
                weight = found.setdefault(variable, np.ones((len(of_state), len(self.rows))))
                weight[:, column] *= of_state
        return found

    def _said(self, finding: Finding) -> list[tuple[Node, float, float]]:
        """Nodes with the weights of absent and present."""
        model = self._ground.model
        named = set(finding.faults)
        inside = {f.name for unit in finding.units for f in model.components[unit].faults}
        if finding.words == "proved":
            sure = [(self._faults[name], 0.0, 1.0) for name in sorted(named)]
            sure += [(self._units[unit], 0.0, 1.0) for unit in finding.units]
            gone = [name for name in self._faults if name not in named | inside]
            return sure + [(self._faults[name], 1.0, 0.0) for name in gone]
        if finding.words == "weak":
            return [(self._faults[name], 1.0, self._weak) for name in sorted(named | inside)]
        if finding.words == "none":
            return [(node, 1.0, 1.0 / self._weak) for node in self._faults.values()]
        return []


#: of a check's parts, which stand for an event that happened and one that could have
_PARTS = {"miss": (1, 0), "false_alarm": (2, 3)}
