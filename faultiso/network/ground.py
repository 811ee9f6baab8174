"""A model in given conditions as nodes of a network.

Faults, responses and leaks are drawn once and for all (until something is repaired); everything else is
a plain function of them and of the conditions: the persistent mapping variables of Breese & Heckerman
(UAI 1996), Pearl's functional causal models. Branches that cannot happen in the given conditions are
never built, so that an inhibited light is a constant by construction.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import UsageError
from faultiso.model.dependence import Dependence, dependences
from faultiso.model.parts import Cause, Check, Fault, Indication, Quantity, Rule
from faultiso.model.system import Model
from faultiso.network.builder import Builder, Node, constant
from faultiso.network.response import Response, response_of
from faultiso.network.timeline import Intervention, Moment, Timeline, matches

ABSENT, PRESENT = "absent", "present"
FOLD_ABOVE = 600  # entries of a decision table above which it is folded row by row


def prior(fault: Fault, hours: float) -> float:
    """Chance that the fault has come up in ``hours`` flight hours at its constant rate."""
    return -math.expm1(-fault.rate * hours)


class Grounding:
    """Builds nodes on demand: faults, quantities, indications and readings at a moment of a timeline.

    ``clean=True`` builds the same system in which nothing unmodelled happens and no reading is wrong: what
    is needed to say how far the readings are explained. ``quiet`` has, for each leak's variable, the chance
    that it does nothing.
    """

    def __init__(self, model: Model, clean: bool = False) -> None:
        self.model = model
        self.builder = Builder()
        self.clean = clean
        self.quiet: dict[int, float] = {}
        self._responses: dict[tuple[str, int], Response] = {}
        self._reading_chances: dict[str, dict[str, tuple[float, ...]]] = {}
        self._nodes: dict[Hashable, Node] = {}
        self._needs = dependences(model)
        self._states: dict[tuple[Moment, ...], _FaultStates] = {}

    # faults

    def present(self, fault: str, timeline: Timeline, moment: int | None = None) -> Node:
        """Whether the fault is there, brought out or not, at a moment (default: now)."""
        return self._fault_states(timeline, moment).present[fault]

    def active(self, fault: str, timeline: Timeline, moment: int) -> Node:
        """Whether the fault is there and acts: not silenced, and brought out if intermittent."""
        states = self._fault_states(timeline, moment)
        node = states.present[fault]
        if fault in states.silent:
            node = both(self.builder, f"{fault}, not silenced", node, states.silent[fault], _UNLESS)
        intermittent = self.model.faults[fault].intermittent
        if intermittent is None or not node.can_be((PRESENT,)):
            return node
        conditions = timeline.moments[moment].conditions
        out = any(matches(match, conditions) for match in intermittent.brought_out_by)
        share = intermittent.share if out else intermittent.otherwise
        return self.builder.chance(
            ("visit", fault, moment),
            f"{fault} at visit {moment + 1}",
            (ABSENT, PRESENT),
            [node],
            lambda label: (1 - share, share) if label == PRESENT else (1.0, 0.0),
        )

    def _fault_states(self, timeline: Timeline, moment: int | None) -> _FaultStates:
        at = timeline.now if moment is None else moment
        key = timeline.moments[: at + 1]
        if key not in self._states:
            states = self._fault_states(timeline, at - 1) if at else self._initial()
            for work in timeline.moments[at].before:
                states = states.after(work, self)
            self._states[key] = states
        return self._states[key]

    def _initial(self) -> _FaultStates:
        if self.model.one_fault:
            return _FaultStates(self._one_of_all(), {}, untouched=True)
        present: dict[str, Node] = {}
        for name in self.model.faults:
            self._add_fault(name, present, ())
        return _FaultStates(present, {}, untouched=True)

    def _one_of_all(self) -> dict[str, Node]:
        """At most one fault: P(fault) in proportion to p / (1 - p), P(none) to 1."""
        hours = self.model.flight_hours_at_risk
        odds = [1.0]
        for fault in self.model.faults.values():
            p = prior(fault, hours)
            odds.append(p / (1 - p))
        names = ("", *self.model.faults)
        total = sum(odds)
        which = self.builder.chance(
            "the fault", "the fault", names, [], lambda: [odd / total for odd in odds]
        )
        return {
            fault: Node(
                which.variable, tuple(PRESENT if label == fault else ABSENT for label in which.labels)
            )
            for fault in self.model.faults
        }

    def _add_fault(self, name: str, present: dict[str, Node], path: tuple[str, ...]) -> None:
        if name in present:
            return
        if name in path:
            raise UsageError(f"faults cause each other in a circle: {' -> '.join((*path, name))}")
        fault = self.model.faults[name]
        for source in fault.caused_by:
            self._add_fault(source, present, (*path, name))
        own = prior(fault, self.model.flight_hours_at_risk)
        chances = list(fault.caused_by.values())

        def spread(*labels: str) -> tuple[float, float]:
            absent = (1 - own) * math.prod(
                1 - chance for label, chance in zip(labels, chances, strict=True) if label == PRESENT
            )
            return absent, 1 - absent if chances else own

        sources = [present[source] for source in fault.caused_by]
        present[name] = self.builder.chance(("fault", name), name, (ABSENT, PRESENT), sources, spread)

    # quantities and indications

    def level(self, name: str, timeline: Timeline, moment: int) -> Node:
        """The true level of a quantity, or the true outcome of an indication, at a moment."""
        key = self._key(name, timeline, moment)
        if key not in self._nodes:
            self._nodes[key] = self._level(name, timeline, moment)
        return self._nodes[key]

    def _key(self, name: str, timeline: Timeline, moment: int) -> Hashable:
        """Everything that makes a difference to a level: equal keys, equal levels, whatever came between."""
        needs = self._needs[name]
        first = 0 if needs.kept else moment
        past = tuple(self._at(needs, timeline, m) for m in range(first, moment + 1))
        return name, past, (moment if needs.visits and not needs.kept else len(past))

    def _at(self, needs: Dependence, timeline: Timeline, moment: int) -> Hashable:
        """The conditions and faults that matter at one moment, and what was reset before it."""
        conditions = timeline.moments[moment].conditions
        states = self._fault_states(timeline, moment)
        faults = (
            None if states.untouched else [(states.present[f], states.silent.get(f)) for f in needs.faults]
        )
        resets = [name for work in timeline.moments[moment].before for name in work.resets]
        return (
            tuple([conditions[name] for name in needs.conditions]),
            None if faults is None else tuple(faults),
            tuple([name for name in resets if name in needs.kept]),
        )

    def _level(self, name: str, timeline: Timeline, moment: int) -> Node:
        part = self.model.quantities.get(name) or self.model.indications[name]
        if isinstance(part, Quantity):
            order, keeps = part.levels, part.remember
            node = self._decide(part.name, part.rules, timeline, moment, order, part)
        else:
            order, keeps = part.outcomes, bool(part.memory)
            node = self._decide(part.name, part.rules, timeline, moment, order, None)
        was_reset = any(name in work.resets for work in timeline.moments[moment].before)
        if keeps and moment > 0 and not was_reset:
            earlier = self.level(name, timeline, moment - 1)
            node = self._highest(f"{name}, kept", earlier, node, order)
        return node

    def true_outcome(self, sign: Indication | Check, timeline: Timeline, moment: int) -> Node:
        """What the indication shows, or what a perfect check would show."""
        if isinstance(sign, Indication):
            return self.level(sign.name, timeline, moment)
        key = self._key(sign.name, timeline, moment)
        if key not in self._nodes:
            self._nodes[key] = self._decide(sign.name, sign.rules, timeline, moment, sign.outcomes, None)
        return self._nodes[key]

    def reading_chances(self, sign: Indication | Check) -> dict[str, tuple[float, ...]]:
        """For each true outcome, the chance of each being read (when clean: of being read rightly)."""
        if sign.name not in self._reading_chances:
            self._reading_chances[sign.name] = self._rows(sign)
        return self._reading_chances[sign.name]

    def _rows(self, sign: Indication | Check) -> dict[str, tuple[float, ...]]:
        rows = {true: _reading_row(sign, true) for true in sign.outcomes}
        if self.clean:
            rows = {
                true: tuple(
                    p if outcome == true else 0.0 for outcome, p in zip(sign.outcomes, row, strict=True)
                )
                for true, row in rows.items()
            }
        return rows

    # decision tables

    def _decide(
        self,
        name: str,
        rules: Sequence[Rule],
        timeline: Timeline,
        moment: int,
        order: Sequence[str],
        quantity: Quantity | None,
    ) -> Node:
        """First match wins; where nothing matches, the causes of the quantity."""
        rows: list[tuple[list[tuple[Node, tuple[str, ...]]], Node]] = []
        otherwise: Node | None = None
        for rule in rules:
            tests = self._tests(rule, timeline, moment)
            if tests is None:
                continue
            result = constant(rule.then) if rule.then else self._like(rule.like, timeline, moment)
            if not tests:
                otherwise = result
                break
            rows.append((tests, result))
        if otherwise is None:
            otherwise = self._effects(quantity, timeline, moment) if quantity else constant(order[0])
        return self._fold(name, rows, otherwise)

    def _tests(
        self, rule: Rule, timeline: Timeline, moment: int
    ) -> list[tuple[Node, tuple[str, ...]]] | None:
        """The tests of a row that are still open in these conditions; None if it cannot match."""
        conditions = timeline.moments[moment].conditions
        tests = []
        for name, accepted in rule.when.items():
            if name in conditions:
                if conditions[name] not in accepted:
                    return None
                continue
            node = self._like(name, timeline, moment)
            if not node.can_be(accepted):
                return None
            if not node.must_be(accepted):
                tests.append((node, accepted))
        return tests

    def _like(self, name: str, timeline: Timeline, moment: int) -> Node:
        if name in self.model.faults:
            return self.active(name, timeline, moment)
        return self.level(name, timeline, moment)

    def _fold(
        self, name: str, rows: list[tuple[list[tuple[Node, tuple[str, ...]]], Node]], otherwise: Node
    ) -> Node:
        if not rows:
            return otherwise
        everything = [node for tests, result in rows for node in (*(n for n, _ in tests), result)]
        if self._entries([*everything, otherwise]) <= FOLD_ABOVE:
            return self._flat(name, rows, otherwise)
        value = otherwise
        for tests, result in reversed(rows):
            value = self._one_row(name, tests, result, value)
        return value

    def _one_row(
        self, name: str, tests: list[tuple[Node, tuple[str, ...]]], result: Node, value: Node
    ) -> Node:
        if self._entries([*(node for node, _ in tests), result, value]) <= FOLD_ABOVE:
            return self._flat(name, [(tests, result)], value)
        match, no = constant("yes"), constant("no")
        for node, accepted in tests:
            match = self._flat(
                f"{name}, match", [([(match, ("yes",)), (node, accepted)], constant("yes"))], no
            )
        return self._flat(name, [([(match, ("yes",))], result)], value)

    def _entries(self, nodes: Sequence[Node]) -> int:
        cards = {node.variable: len(node.labels) for node in nodes if not node.constant}
        return math.prod(cards.values())

    def _flat(
        self, name: str, rows: list[tuple[list[tuple[Node, tuple[str, ...]]], Node]], otherwise: Node
    ) -> Node:
        nodes = [otherwise, *(n for tests, result in rows for n in (*(t for t, _ in tests), result))]
        layout = self.builder.layout(nodes)
        labels = tuple(dict.fromkeys(label for n in (otherwise, *(r for _, r in rows)) for label in n.labels))
        code = {label: i for i, label in enumerate(labels)}
        value = layout.codes(otherwise, code)
        for tests, result in reversed(rows):
            match = np.ones((1,) * len(layout.shape), dtype=bool)
            for node, accepted in tests:
                match = match & layout.accepts(node, accepted)
            value = np.where(match, layout.codes(result, code), value)
        return self.builder.function(name, layout, value, labels)

    def _highest(self, name: str, first: Node, second: Node, order: Sequence[str]) -> Node:
        layout = self.builder.layout((first, second))
        code = {label: i for i, label in enumerate(order)}
        value = np.maximum(layout.codes(first, code), layout.codes(second, code))
        return self.builder.function(name, layout, value, order)

    # causes: leaky noisy-MAX (Henrion 1989, Diez 1993)

    def _effects(self, quantity: Quantity, timeline: Timeline, moment: int) -> Node:
        node = self._leak(quantity)
        for number, cause in enumerate(quantity.causes):
            effect = self._effect(quantity, number, cause, timeline, moment)
            if effect is not None:
                node = self._with_effect(quantity, node, *effect)
        return node

    def _with_effect(
        self, quantity: Quantity, so_far: Node, source: Node, drawn: Node, response: Response, case: int
    ) -> Node:
        layout = self.builder.layout((so_far, source, drawn))
        code = {label: i for i, label in enumerate(quantity.levels)}
        sources = tuple(dict.fromkeys(source.labels))
        given = np.array([[code[response.level(case, s, p)] for p in response.pieces] for s in sources])
        of_source = layout.codes(source, {s: i for i, s in enumerate(sources)})
        of_piece = layout.codes(drawn, {p: i for i, p in enumerate(response.pieces)})
        value = np.maximum(layout.codes(so_far, code), given[of_source, of_piece])
        return self.builder.function(f"{quantity.name}, so far", layout, value, quantity.levels)

    def _leak(self, quantity: Quantity) -> Node:
        if self.clean or not quantity.leak:
            return constant(quantity.levels[0])
        chances = [quantity.leak.get(level, 0.0) for level in quantity.levels]
        chances[0] = 1.0 - math.fsum(chances[1:])
        name = f"{quantity.name}, unmodelled"
        leak = self.builder.chance(("leak", quantity.name), name, quantity.levels, [], lambda: chances)
        if not leak.constant:
            self.quiet[leak.variable] = chances[0]
        return leak

    def _effect(
        self, quantity: Quantity, number: int, cause: Cause, timeline: Timeline, moment: int
    ) -> tuple[Node, Node, Response, int] | None:
        """The source, the cause's own draw, its response function and which case of it counts here."""
        conditions = timeline.moments[moment].conditions
        case = next((i for i, r in enumerate(cause.responses) if matches(r.when, conditions)), None)
        if case is None:
            return None
        source = self._like(cause.source, timeline, moment)
        if not source.can_be(tuple(cause.responses[case].gives)):
            return None
        response = self._response(quantity, number, cause)
        drawn = self.builder.chance(
            ("response", quantity.name, number),
            f"{cause.source} on {quantity.name}",
            response.pieces,
            [],
            lambda: response.widths,
        )
        return source, drawn, response, case

    def _response(self, quantity: Quantity, number: int, cause: Cause) -> Response:
        key = (quantity.name, number)
        if key not in self._responses:
            self._responses[key] = response_of(cause, quantity.levels)
        return self._responses[key]


class _FaultStates:
    """Which node says that a fault is there, and which that it was silenced, from some moment on."""

    def __init__(
        self, present: Mapping[str, Node], silent: Mapping[str, Node], untouched: bool = False
    ) -> None:
        self.present = present
        self.silent = silent
        self.untouched = untouched  # by any work so far

    def after(self, work: Intervention, ground: Grounding) -> _FaultStates:
        present, silent = dict(self.present), dict(self.silent)
        self._clear(work, ground.builder, present, silent)
        for first, second in work.swaps:
            _swap(ground.model, first, second, present, silent)
        for fault, chance in work.disturbs:
            touched = _coin(
                ground.builder, ("disturb", work.key, fault), f"{fault} silenced by {work.key}", chance
            )
            before = silent.get(fault, constant(ABSENT))
            silent[fault] = both(ground.builder, f"{fault} silenced", before, touched, _EITHER)
        for fault, chance in work.may_leave:
            left = _coin(ground.builder, ("left", work.key, fault), f"{fault} left by {work.key}", chance)
            if fault in silent:  # what work leaves behind is a new fault, and acts
                silent[fault] = both(ground.builder, f"{fault}, still silenced", silent[fault], left, _UNLESS)
            present[fault] = both(ground.builder, f"{fault}, or left", present[fault], left, _EITHER)
        return _FaultStates(present, silent)

    def _clear(
        self, work: Intervention, builder: Builder, present: dict[str, Node], silent: dict[str, Node]
    ) -> None:
        if not work.cleared:
            return
        failed = _coin(builder, ("fails", work.key), f"{work.key} fails", work.fails)
        for fault in work.cleared:
            present[fault] = both(builder, f"{fault}, not cleared", present[fault], failed, _BOTH)
            if not work.fails:
                silent.pop(fault, None)


def _swap(model: Model, first: str, second: str, present: dict[str, Node], silent: dict[str, Node]) -> None:
    """The faults of two like units change places; a spare brings none."""
    modes = [
        f.name.split(".", 1)[1]
        for u in (first, second)
        if u in model.components
        for f in model.components[u].faults
    ]
    for mode in dict.fromkeys(modes):
        here, there = f"{first}.{mode}", f"{second}.{mode}"
        for nodes in (present, silent):
            mine, other = nodes.get(here, constant(ABSENT)), nodes.get(there, constant(ABSENT))
            if here in model.faults:
                nodes[here] = other
            if there in model.faults:
                nodes[there] = mine


def _coin(builder: Builder, owner: tuple[str, ...], name: str, chance: float) -> Node:
    return builder.chance(owner, name, (ABSENT, PRESENT), [], lambda: (1 - chance, chance))


#: present or not, by (first absent or present, second absent or present)
_BOTH = np.array([[0, 0], [0, 1]])
_EITHER = np.array([[0, 1], [1, 1]])
_UNLESS = np.array([[0, 0], [1, 0]])


def both(builder: Builder, name: str, first: Node, second: Node, table: NDArray[np.intp]) -> Node:
    """A two-state function of two two-state nodes."""
    layout = builder.layout((first, second))
    code = {ABSENT: 0, PRESENT: 1}
    value = table[layout.codes(first, code), layout.codes(second, code)]
    return builder.function(name, layout, value, (ABSENT, PRESENT))


def _reading_row(sign: Indication | Check, true: str) -> tuple[float, ...]:
    """Chance of reading each outcome when ``true`` is right."""
    outcomes = sign.outcomes
    if len(outcomes) == 1:
        return (1.0,)
    if isinstance(sign, Indication):
        wrong = sign.misread / (len(outcomes) - 1)
        return tuple(
            1 - sign.misread if o == true and len(outcomes) > 1 else wrong if o != true else 1.0
            for o in outcomes
        )
    quiet = outcomes[0]
    if len(outcomes) == 1:
        return (1.0,)
    if true == quiet:
        wrong = sign.false_alarm / (len(outcomes) - 1)
        return tuple(1 - sign.false_alarm if o == quiet else wrong for o in outcomes)
    return tuple(1 - sign.miss if o == true else sign.miss if o == quiet else 0.0 for o in outcomes)
