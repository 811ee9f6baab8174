"""One network to compute in: the readings folded in, the faults, and the signs that are asked about."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import TooLarge, UsageError
from faultiso.belief.evidence import Reading, weights
from faultiso.engine.cutset import Mixture, compile_cut, propagate_cut
from faultiso.engine.features import Source
from faultiso.engine.pairs import PairPlan, prepare_pairs
from faultiso.engine.plan import DEFAULT_LIMIT, Plan, compile_plan
from faultiso.engine.propagate import Propagation, propagate
from faultiso.model.parts import Check, Indication
from faultiso.network.builder import CONSTANT, Node
from faultiso.network.ground import PRESENT, Grounding
from faultiso.network.network import Array, Network
from faultiso.network.simplify import absorb
from faultiso.network.timeline import Timeline

NETWORKS_KEPT = 24  # compiled networks, of those used last


@dataclass(frozen=True)
class FaultAt:
    """Where a fault is in the network: its variable (or CONSTANT) and the states in which it is present."""

    variable: int
    present: Array  # (states,) of 0 and 1; for a constant one entry

    @property
    def is_plain(self) -> bool:
        """Whether it has a variable of its own: absent, present."""
        return self.present.tolist() == [0.0, 1.0]


@dataclass(frozen=True)
class Asked:
    """A sign whose outcome is asked about: P(outcome | state of its variable), shape (states, outcomes)."""

    name: str
    variable: int
    chances: Array
    outcomes: tuple[str, ...]


@dataclass(frozen=True)
class Folded:
    """Readings of one thing in one draw: ``of_outcome`` weighs its outcomes, ``chances`` as in ``Asked``.

    ``true_outcome`` (states,): the place of the outcome that is right in each state.
    """

    sign: str
    readings: tuple[int, ...]
    variable: int
    chances: Array
    of_outcome: Array
    true_outcome: NDArray[np.intp]

    @property
    def same(self) -> tuple[object, ...]:
        """Equal for readings of the very same thing, in whatever draw."""
        return self.sign, self.variable, self.true_outcome.tobytes()

    @property
    def weights(self) -> Array:
        """The weight of each state of the variable."""
        return np.asarray(self.chances @ self.of_outcome)

    @property
    def weights_if_right(self) -> Array:
        """The part of the weights that comes from reading what is true."""
        states = np.arange(len(self.true_outcome))
        return np.asarray(self.chances[states, self.true_outcome] * self.of_outcome[self.true_outcome])


@dataclass(frozen=True)
class Scene:
    """A compiled network with its readings. ``free`` faults touch nothing in it and keep their prior."""

    network: Network
    compiled: _Compiled
    folded: tuple[Folded, ...]
    faults: Mapping[str, FaultAt]
    free: Mapping[str, float]
    asked: Mapping[str, Asked]
    quiet: float  # P(no leak upstream of the readings is active)

    @property
    def plan(self) -> Plan:
        """For evidence on anything; compiled when first asked for, TooLarge if it does not fit."""
        return self.compiled.plan

    def run(
        self, likelihoods: Mapping[int, Array], columns: int = 1, wanted: Sequence[int] = ()
    ) -> Propagation | Mixture:
        """Exact inference on the scene's tree; where that would not fit, with a few variables told in turn.

        Column by column where all together would not fit. Raises TooLarge where even one needs more memory
        than allowed.
        """
        try:
            return self._run(likelihoods, columns, wanted)
        except TooLarge:
            if columns == 1:
                raise
        each = [self._run(_column(likelihoods, number), 1, wanted) for number in range(columns)]
        logs = np.concatenate([run.log_evidence for run in each])
        return Mixture(logs, {v: np.hstack([run.marginal(v) for run in each]) for v in wanted})

    def _run(
        self, likelihoods: Mapping[int, Array], columns: int, wanted: Sequence[int]
    ) -> Propagation | Mixture:
        plan = self.compiled.fitting
        if plan.given:
            return propagate_cut(plan, likelihoods, columns, wanted)
        return propagate(plan, likelihoods, columns=columns, wanted=wanted)

    @property
    def plan_given_faults(self) -> Plan:
        """For columns in which every fault is known: a much smaller tree."""
        return self.compiled.plan_given_faults

    def pairs(self, asked: Sequence[Asked]) -> PairPlan:
        """The pass that judges these signs against all faults, prepared once for a network."""
        key = tuple((sign.variable, sign.chances.tobytes()) for sign in asked)
        prepared = self.compiled.prepared
        if key not in prepared:
            sources = [Source((sign.variable,), sign.chances) for sign in asked]
            faults = [at.variable for at in self.faults.values()]
            prepared[key] = prepare_pairs(self.plan, faults, sources)
        return prepared[key]

    def with_readings(self, outcomes: Sequence[tuple[Asked, int]]) -> Scene:
        """The scene as if asked signs had shown outcomes (given by their places)."""
        read = [
            Folded(
                sign=sign.name,
                readings=(),
                variable=sign.variable,
                chances=sign.chances,
                of_outcome=np.eye(len(sign.outcomes))[outcome],
                true_outcome=np.full(len(sign.chances), outcome),
            )
            for sign, outcome in outcomes
        ]
        return replace(self, folded=(*self.folded, *read))

    def fits(self, given_faults: bool) -> bool:
        """Whether the tree for all evidence, or that with all faults known, fits into the limit."""
        return self.compiled.fits_given_faults if given_faults else self.compiled.fits

    @property
    def coins(self) -> frozenset[int]:
        """The fault variables that are cut out of ``plan_given_faults``."""
        return self.plan_given_faults.given

    @property
    def constant_weight(self) -> float:
        """The product of the weights of readings of what cannot vary in these conditions."""
        return float(np.prod([item.weights[0] for item in self.folded if item.variable == CONSTANT]))

    def evidence(self, leave_out: Sequence[int] = ()) -> dict[int, Array]:
        """The product of the readings' weights on each variable; ``leave_out``: places in ``folded``."""
        found: dict[int, Array] = {}
        for place, item in enumerate(self.folded):
            if place in leave_out or item.variable == CONSTANT:
                continue
            before = found.get(item.variable)
            found[item.variable] = item.weights if before is None else before * item.weights
        return found


def _column(likelihoods: Mapping[int, Array], number: int) -> dict[int, Array]:
    return {v: table if table.ndim == 1 else table[:, number] for v, table in likelihoods.items()}


@dataclass(frozen=True)
class _Draw:
    """What makes two readings the same: the sign, what it truly shows, and who read it."""

    sign: str
    variable: int
    labels: tuple[str, ...]
    draw: int


@dataclass(frozen=True)
class _Compiled:
    """``place``: variable of the builder -> variable of the network; ``coins``: faults on their own."""

    network: Network
    coins: tuple[int, ...]
    place: Mapping[int, int]
    limit: int
    prepared: dict[tuple[object, ...], PairPlan] = field(default_factory=dict)

    @cached_property
    def plan(self) -> Plan:
        return compile_plan(self.network, limit=self.limit)

    @cached_property
    def fits(self) -> bool:
        try:
            _ = self.plan
        except TooLarge:
            return False
        return True

    @cached_property
    def fits_given_faults(self) -> bool:
        try:
            _ = self.plan_given_faults
        except TooLarge:
            return False
        return True

    @cached_property
    def fitting(self) -> Plan:
        """The same where it fits; else a plan in which a few variables are given, to be told in turn."""
        return self.plan if self.fits else compile_cut(self.network, self.limit)

    @cached_property
    def plan_given_faults(self) -> Plan:
        return compile_plan(self.network, given=self.coins, limit=self.limit)


class SceneMaker:
    """Builds scenes from a grounding and keeps compiled plans: the same variables, the same plan."""

    def __init__(self, ground: Grounding) -> None:
        self.ground = ground
        self._compiled: dict[tuple[frozenset[int], frozenset[int], int], _Compiled] = {}

    def log_evidence(self, timeline: Timeline, readings: Sequence[Reading], limit: int) -> float:
        """Natural logarithm of P(readings): with nothing else kept, the smallest network there is."""
        folded = self._fold(timeline, readings)
        seen = frozenset(draw.variable for draw in folded) - {CONSTANT}
        compiled = self._compile(seen, {}, limit)
        scene = Scene(
            network=compiled.network,
            compiled=compiled,
            folded=tuple(_moved(item, compiled.place) for item in folded.values()),
            faults={},
            free={},
            asked={},
            quiet=1.0,
        )
        if scene.constant_weight <= 0:
            return -math.inf
        return float(scene.run(scene.evidence()).log_evidence[0]) + math.log(scene.constant_weight)

    def prior(self, fault: str, timeline: Timeline) -> float:
        """P(fault present now) before any reading."""
        return self.ground.builder.chance_of(self.ground.present(fault, timeline), PRESENT)

    def scene(
        self,
        timeline: Timeline,
        readings: Sequence[Reading],
        asked: Sequence[tuple[Indication | Check, Timeline]] = (),
        limit: int = DEFAULT_LIMIT,
        reader: int = 0,
    ) -> Scene:
        """The scene of the readings, the faults as they are now, and each asked sign at its timeline's end.

        ``reader``: the draw of reading errors in which the asked signs would be read.
        Raises TooLarge if a column would need more than ``limit`` bytes.
        """
        ground = self.ground
        folded = self._fold(timeline, readings)
        fault_nodes = {name: ground.present(name, timeline) for name in ground.model.faults}
        signs = [(sign, ground.true_outcome(sign, at, at.now)) for sign, at in asked]
        seen = {draw.variable for draw in folded} | {node.variable for _, node in signs}
        seen.discard(CONSTANT)
        compiled = self._compile(frozenset(seen), fault_nodes, limit)
        place = compiled.place
        faults, free = self._faults(fault_nodes, place)
        return Scene(
            network=compiled.network,
            compiled=compiled,
            folded=tuple(_moved(item, place) for item in folded.values()),
            faults=faults,
            free=free,
            asked={
                sign.name: self._asked(
                    sign, node, place, folded.get(_Draw(sign.name, node.variable, node.labels, reader))
                )
                for sign, node in signs
            },
            quiet=self._quiet(draw.variable for draw in folded),
        )

    def _compile(self, seen: frozenset[int], fault_nodes: Mapping[str, Node], limit: int) -> _Compiled:
        """Network and plans for what is seen, kept for the next time.

        Faults that hang together with others (secondary damage, failed repairs) are always in it.
        """
        builder = self.ground.builder
        fault_variables = frozenset(n.variable for n in fault_nodes.values()) - {CONSTANT}
        views = Counter(node.variable for node in fault_nodes.values())
        coins = {v for v in fault_variables if builder.is_coin(v) and views[v] == 1}
        key = (seen, fault_variables, limit)
        if key in self._compiled:
            self._compiled[key] = self._compiled.pop(key)  # the latest used last
        else:
            network, place = builder.freeze(sorted(seen | (fault_variables - coins)))
            keep = [place[v] for v in seen | fault_variables if v in place]
            smaller, moved = absorb(network, keep)
            where = {v: moved[i] for v, i in place.items() if i in moved}
            cut = tuple(where[v] for v in coins if v in where)
            self._compiled[key] = _Compiled(smaller, cut, where, limit)
            if len(self._compiled) > NETWORKS_KEPT:
                del self._compiled[next(iter(self._compiled))]
        return self._compiled[key]

    def _faults(
        self, nodes: Mapping[str, Node], place: Mapping[int, int]
    ) -> tuple[dict[str, FaultAt], dict[str, float]]:
        faults: dict[str, FaultAt] = {}
        free: dict[str, float] = {}
        for name, node in nodes.items():
            present = np.array([float(label == PRESENT) for label in node.labels])
            if node.constant:
                free[name] = float(present[0])
            elif node.variable in place:
                faults[name] = FaultAt(place[node.variable], present)
            else:
                free[name] = self.ground.builder.chance_of(node, PRESENT)
        return faults, free

    def _asked(
        self, sign: Indication | Check, node: Node, place: Mapping[int, int], read: Folded | None
    ) -> Asked:
        """The sign as it would be read; what was read in the same draw shows the same again."""
        chances = self._chances(sign, node)
        if read is not None:
            again = chances * read.of_outcome
            total = again.sum(axis=1, keepdims=True)
            chances = np.where(total > 0, again / np.where(total > 0, total, 1.0), chances)
        variable = CONSTANT if node.constant else place[node.variable]
        return Asked(sign.name, variable, chances, sign.outcomes)

    def _fold(self, timeline: Timeline, readings: Sequence[Reading]) -> dict[_Draw, Folded]:
        """Readings of the same thing in the same draw become one: seeing it again tells nothing new.

        Plain answers must all hold; of numbers and doubtful answers the latest counts.
        """
        groups: dict[_Draw, list[int]] = {}
        nodes: dict[_Draw, Node] = {}
        for number, reading in enumerate(readings):
            sign = self._sign(reading.sign)
            node = self.ground.true_outcome(sign, timeline, reading.moment)
            draw = _Draw(sign.name, node.variable, node.labels, reading.draw)
            groups.setdefault(draw, []).append(number)
            nodes[draw] = node
        return {
            draw: Folded(
                sign=draw.sign,
                readings=tuple(numbers),
                variable=draw.variable,
                chances=self._chances(self._sign(draw.sign), nodes[draw]),
                of_outcome=self._together(self._sign(draw.sign), [readings[n] for n in numbers]),
                true_outcome=_places(self._sign(draw.sign), draw.labels),
            )
            for draw, numbers in groups.items()
        }

    def _together(self, sign: Indication | Check, readings: Sequence[Reading]) -> Array:
        plain = [reading for reading in readings if reading.hard]
        latest = [reading for reading in readings if not reading.hard][-1:]
        found = np.ones(len(sign.outcomes))
        for reading in (*plain, *latest):
            of_outcome = weights(reading, sign)
            found = found * [of_outcome[outcome] for outcome in sign.outcomes]
        return found

    def _chances(self, sign: Indication | Check, node: Node) -> Array:
        rows = self.ground.reading_chances(sign)
        return np.array([_row(rows, label, sign) for label in node.labels])

    def _quiet(self, variables: Iterable[int]) -> float:
        """P(no leak upstream of these variables is active)."""
        upstream = self.ground.builder.closure(v for v in variables if v != CONSTANT)
        return math.prod(self.ground.quiet[v] for v in upstream if v in self.ground.quiet)

    def _sign(self, name: str) -> Indication | Check:
        model = self.ground.model
        sign = model.indications.get(name) or model.checks.get(name)
        if sign is None:
            raise UsageError(f"no indication or check is called {name!r}")
        return sign


def _row(rows: Mapping[str, tuple[float, ...]], label: str, sign: Indication | Check) -> tuple[float, ...]:
    if label not in rows:
        raise UsageError(f"{sign.name} can show {label!r}, which is not among its outcomes")
    return rows[label]


def _places(sign: Indication | Check, labels: Sequence[str]) -> NDArray[np.intp]:
    return np.array([sign.outcomes.index(label) for label in labels], dtype=np.intp)


def _moved(item: Folded, place: Mapping[int, int]) -> Folded:
    return item if item.variable == CONSTANT else replace(item, variable=place[item.variable])
