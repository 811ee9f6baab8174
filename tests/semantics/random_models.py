"""Small random models with a history and readings; the same seed always gives the same ones."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Literal

from faultiso.model.parts import (
    Cause,
    Check,
    Component,
    Condition,
    Fault,
    Indication,
    Intermittent,
    LeftBehind,
    Quantity,
    Repair,
    Response,
    Rule,
    Work,
)
from faultiso.model.system import Model
from faultiso.network.timeline import Intervention, Timeline, done, start

from .answers import Seen

HOURS = 100.0
LEVELS = ("normal", "low", "none")
UNITS = {"pump_1": ("worn",), "pump_2": ("worn",), "plug": ("loose", "wet"), "pipe": ("burst",)}
SWAPS = (("pump_1", "pump_2"), ("pump_2", "pump_1"), ("plug", "spare"), ("pump_1", "spare"))


@dataclass(frozen=True)
class Case:
    """A model, what happened to the system, and what was read."""

    model: Model
    timeline: Timeline
    readings: tuple[Seen, ...]


@dataclass
class _Maker:
    random: Random
    conditions: dict[str, Condition] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    quantities: dict[str, Quantity] = field(default_factory=dict)
    indications: dict[str, Indication] = field(default_factory=dict)
    responses_left: int = 5  # bounds the number of worlds
    leaks_left: int = 2

    # small choices

    def maybe(self, chance: float) -> bool:
        return self.random.random() < chance

    def some(self, items: Sequence[str], least: int = 1, most: int = 2) -> list[str]:
        return self.random.sample(list(items), min(len(items), self.random.randint(least, most)))

    def setting(self, chance: float) -> dict[str, tuple[str, ...]]:
        """With this chance one condition with some of its values, else nothing."""
        if not self.maybe(chance):
            return {}
        condition = self.random.choice(list(self.conditions.values()))
        return {condition.name: tuple(self.some(condition.values, most=len(condition.values) - 1))}

    def spread(self, levels: Sequence[str]) -> dict[str, float]:
        """Chances of some loud levels in twentieths, at most one in sum, sometimes exactly one."""
        left, chances = 20, {}
        for level in self.some(levels[1:], most=len(levels) - 1):
            part = left if self.maybe(0.15) else self.random.randint(0, left)
            chances[level], left = part / 20, left - part
        return chances

    # parts

    def make_conditions(self) -> None:
        for name in ("engine", "selector", "place")[: self.random.randint(1, 3)]:
            values = ("off", "idle", "power")[: self.random.randint(2, 3)]
            self.conditions[name] = Condition(name, name, values, self.random.choice(values))

    def make_faults(self) -> None:
        names = [f"{unit}.{mode}" for unit, modes in UNITS.items() for mode in modes]
        keep = self.random.sample(names, self.random.randint(2, 5))
        for name in (name for name in names if name in keep):
            self.faults[name] = self.fault(name)

    def fault(self, name: str) -> Fault:
        intermittent = None
        if name == "plug.loose" and self.maybe(0.7):
            shares = self.random.choice([(0.7, 0.0), (0.5, 0.1), (1.0, 0.2), (1.0, 1.0)])
            out = tuple(m for _ in range(self.random.randint(1, 2)) if (m := self.setting(0.9)))
            intermittent = Intermittent(out, *shares)
        caused = {}
        if self.faults and self.maybe(0.3):
            caused = {f: self.random.choice([0.2, 0.5, 1.0]) for f in self.some(list(self.faults))}
        prior = self.random.choice([0.02, 0.1, 0.3, 0.5, *([0.0] if caused else [])])
        rate = -math.log(1 - prior) / HOURS
        return Fault(name, name, name.split(".")[0], rate, intermittent=intermittent, caused_by=caused)

    def make_quantities(self) -> None:
        for number in range(self.random.randint(2, 4)):
            name = f"quantity_{number + 1}"
            levels = LEVELS[: self.random.randint(2, 3)]
            leak = {}
            if self.leaks_left and self.maybe(0.4):
                leak, self.leaks_left = self.spread(levels), self.leaks_left - 1
            self.quantities[name] = Quantity(
                name,
                name,
                levels,
                rules=tuple(self.rule(levels) for _ in range(self.random.randint(0, 2))),
                causes=tuple(c for _ in range(self.random.randint(1, 3)) if (c := self.cause(levels))),
                leak=leak,
                remember=self.maybe(0.3),
            )

    def rule(self, levels: Sequence[str], default: bool = False) -> Rule:
        when: dict[str, tuple[str, ...]] = {}
        if not default:
            when = self.setting(0.6)
            for name in self.some([*self.faults, *self.quantities, *self.indications], least=0):
                when[name] = tuple(self.some(self.labels(name), most=len(self.labels(name)) - 1))
        like = [name for name in self.like_sources() if set(self.labels(name)) <= set(levels)]
        if like and self.maybe(0.4):
            return Rule(when, like=self.random.choice(like))
        return Rule(when, then=self.random.choice(list(levels)))

    def like_sources(self) -> list[str]:
        return [*self.faults, *self.quantities, *self.indications]

    def labels(self, name: str) -> tuple[str, ...]:
        if name in self.faults:
            return ("absent", "present")
        if name in self.quantities:
            return self.quantities[name].levels
        return self.indications[name].outcomes

    def cause(self, levels: Sequence[str]) -> Cause | None:
        if not self.responses_left:
            return None
        self.responses_left -= 1
        source = self.random.choice([*self.faults, *self.faults, *self.quantities])
        responses = [Response(self.setting(0.8), self.gives(source, levels))]
        if self.maybe(0.5):
            responses.append(Response({}, self.gives(source, levels)))
        return Cause(source, tuple(responses))

    def gives(self, source: str, levels: Sequence[str]) -> dict[str, Mapping[str, float]]:
        values = ["present"] if source in self.faults else self.some(self.labels(source), most=2)
        return {value: self.spread(levels) for value in values}

    def make_indications(self) -> None:
        for number in range(self.random.randint(2, 3)):
            name = f"light_{number + 1}"
            outcomes = self.random.choice(
                [LEVELS, ("out", "lit"), ("absent", "present"), ("out", "dim", "lit")]
            )
            memory: Literal["", "latched", "stored"] = self.random.choice(("", "", "latched", "stored"))
            self.indications[name] = Indication(
                name,
                name,
                "light",
                outcomes,
                self.rules(outcomes),
                memory=memory,
                misread=self.random.choice([0.001, 0.02, 0.1]) if self.maybe(0.9) else 0.0,
            )

    def rules(self, outcomes: Sequence[str]) -> tuple[Rule, ...]:
        rows = [self.rule(outcomes) for _ in range(self.random.randint(1, 3))]
        return (*rows, self.rule(outcomes, default=True))

    def check(self, number: int) -> Check:
        name = f"check_{number + 1}"
        reads = self.random.choice(self.like_sources()) if self.maybe(0.6) else ""
        outcomes = self.labels(reads) if reads else ("good", "poor", "bad")[: self.random.randint(2, 3)]
        rules = (Rule(like=reads),) if reads else self.rules(outcomes)
        return Check(
            name,
            name,
            outcomes,
            rules,
            self.work(),
            miss=self.random.choice([0.05, 0.2]) if self.maybe(0.8) else 0.0,
            false_alarm=self.random.choice([0.02, 0.1]) if self.maybe(0.8) else 0.0,
        )

    def work(self) -> Work:
        units = {name.split(".")[0] for name in self.faults} | {"spare"}
        swaps = [pair for pair in SWAPS if {*pair} <= units]
        memories = [*self.quantities, *self.indications]
        disturbed = self.some(list(self.faults), most=1) if self.maybe(0.3) else []
        left = self.some(disturbed or list(self.faults), most=1) if self.maybe(0.4) else []
        return Work(
            needs=(need,) if (need := self.setting(0.3)) else (),
            disturbs={fault: self.random.choice([0.5, 1.0, 1.0]) for fault in disturbed},
            swaps=tuple(self.random.sample(swaps, min(len(swaps), int(self.maybe(0.3))))),
            may_leave=tuple(LeftBehind(fault, self.random.choice([0.1, 0.4, 1.0])) for fault in left),
            resets=tuple(self.some(memories, 0, 2)),
        )

    def repair(self, number: int) -> Repair:
        name = f"repair_{number + 1}"
        clears = tuple(self.some(list(self.faults)))
        return Repair(name, name, clears, self.work(), fails=self.random.choice([0.0, 0.0, 0.1]))

    def model(self, seed: int) -> Model:
        self.make_conditions()
        self.make_faults()
        self.make_quantities()
        self.make_indications()
        units = dict.fromkeys(name.split(".")[0] for name in self.faults)
        return Model(
            name=f"random-{seed}",
            title="random",
            subject="generic",
            one_fault=self.maybe(0.25),
            flight_hours_at_risk=HOURS,
            conditions=self.conditions,
            components={
                unit: Component(
                    unit, unit, faults=tuple(f for f in self.faults.values() if f.component == unit)
                )
                for unit in units
            },
            quantities=self.quantities,
            indications=self.indications,
            checks={c.name: c for c in map(self.check, range(self.random.randint(2, 3)))},
            repairs={r.name: r for r in map(self.repair, range(2))},
        )

    # what happened

    def timeline(self, model: Model) -> Timeline:
        timeline = start(self.settings())
        for moment in range(self.random.randint(0, 2)):
            settings = self.settings() if self.maybe(0.7) else timeline.moments[-1].conditions
            timeline = timeline.then(settings, self.works(model, moment))
        return timeline

    def settings(self) -> dict[str, str]:
        return {c.name: self.random.choice(c.values) for c in self.conditions.values()}

    def works(self, model: Model, moment: int) -> tuple[Intervention, ...]:
        possible = [done(f"{c.name} at {moment}", c.work) for c in model.checks.values()]
        possible += [done(f"{r.name} at {moment}", r.work, r) for r in model.repairs.values()]
        possible = [work for work in possible if not work.changes_nothing]
        return tuple(self.random.sample(possible, min(len(possible), self.random.choice([0, 1, 1, 2]))))

    def readings(self, model: Model, timeline: Timeline) -> tuple[Seen, ...]:
        return tuple(self.reading(model, timeline) for _ in range(self.random.randint(0, 5)))

    def reading(self, model: Model, timeline: Timeline) -> Seen:
        sign = self.random.choice(list(model.signs()))
        moment = self.random.randint(0, timeline.now)
        if self.maybe(0.7):
            quiet = self.maybe(0.5)
            weights = {sign.outcomes[0] if quiet else self.random.choice(sign.outcomes): 1.0}
        else:
            weights = {outcome: self.random.choice([1.0, 0.5, 0.2]) for outcome in sign.outcomes}
        return Seen(sign.name, moment, weights, draw=int(self.maybe(0.15)))


def random_case(seed: int) -> Case:
    maker = _Maker(Random(seed))
    model = maker.model(seed)
    timeline = maker.timeline(model)
    return Case(model, timeline, maker.readings(model, timeline))
