"""What everything would show in another situation, against the list of all worlds."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from faultiso.belief.belief import Belief
from faultiso.belief.looks import Look, looks
from faultiso.belief.reasoner import Reasoner
from faultiso.model.effort import steps_between
from faultiso.model.parts import Situation
from faultiso.model.system import Model

from ..models.shipped import reasoner_of
from ..semantics import frozen, oracle, small
from ..semantics.answers import Seen, Table, hard
from ..semantics.test_random_beliefs import as_reading, said_once
from ..semantics.test_random_models import SEEDS, case


def with_situations(model: Model) -> Model:
    """A situation for each value of the first condition that is not its start, and one that turns all over."""
    found = {}
    first = next(iter(model.conditions.values()))
    for value in first.values:
        found[f"at_{value}"] = Situation(f"at_{value}", value, {**model.start, first.name: value})
    others = {c.name: next(v for v in c.values if v != c.start) for c in model.conditions.values()}
    found["turned_over"] = Situation("turned_over", "turned over", others)
    return replace(model, situations=found)


@cache
def looked(seed: int) -> tuple[Belief, list[Seen], tuple[Look, ...]]:
    model, timeline = with_situations(case(seed).model), case(seed).timeline
    table = frozen.table(model, timeline)
    readings = said_once(table, case(seed).readings)
    if not table.evidence(readings):
        readings = []
    belief = Reasoner(model).belief(timeline, [as_reading(reading) for reading in readings])
    return belief, readings, looks(belief)


@cache
def worlds_then(seed: int, situation: str) -> Table:
    """All worlds, looked at in a situation; the faults are those of the belief's moment."""
    belief = looked(seed)[0]
    timeline = belief.timeline.then(belief.model.situations[situation].values)
    table = oracle.table(belief.model, timeline, belief.timeline.now)
    return replace(table, draws=frozen.table(belief.model, timeline).draws)


def seen_together(table: Table, look: Look, pattern: int) -> list[Seen]:
    return [hard(sign, outcome, table.now) for sign, outcome in look.patterns[pattern].items()]


@pytest.mark.parametrize("seed", SEEDS[:20])
def test_patterns_have_the_chances_that_all_worlds_give_them(seed: int) -> None:
    belief, readings, found = looked(seed)
    for look in found:
        table = worlds_then(seed, look.situation)
        before = table.set_chances(readings)
        total = table.evidence(readings)
        for pattern in range(len(look.patterns)):
            together = [*readings, *seen_together(table, look, pattern)]
            chance = table.evidence(together) / total
            after = table.set_chances(together) if chance > 1e-12 else {}
            assert look.spread[pattern] == pytest.approx(chance, abs=1e-9 + belief.unlisted)
            for row, place in enumerate(look.places):
                chosen = belief.leading.sets[place]
                if before.get(chosen, 0.0) > 1e-9:
                    expected = after.get(chosen, 0.0) * chance / before[chosen]
                    assert look.of_sets[row, pattern] == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("seed", SEEDS[:20])
def test_what_is_pruned_is_what_the_patterns_leave(seed: int) -> None:
    _, _, found = looked(seed)
    for look in found:
        assert look.spread.sum() == pytest.approx(1)
        assert look.pruned == pytest.approx(1 - look.spread[:-1].sum(), abs=1e-12)
        assert look.of_sets.sum(axis=1) == pytest.approx(1)


@pytest.mark.parametrize("seed", SEEDS[:20])
def test_the_gain_is_the_information_in_the_patterns(seed: int) -> None:
    _, readings, found = looked(seed)
    for look in found:
        table = worlds_then(seed, look.situation)
        before = table.set_chances(readings)
        total = table.evidence(readings)
        after, left = 0.0, dict(before)
        for pattern in range(len(look.patterns)):
            together = [*readings, *seen_together(table, look, pattern)]
            chance = table.evidence(together) / total
            if chance > 1e-12:
                sets = table.set_chances(together)
                after += chance * entropy(sets)
                left = {s: p - chance * sets.get(s, 0.0) for s, p in left.items()}
        rest = sum(left.values())
        if rest > 1e-12:
            after += rest * entropy({s: max(p, 0.0) / rest for s, p in left.items()})
        lower, upper = look.gain_bits
        assert lower - 1e-6 <= entropy(before) - after <= upper + 1e-6


def entropy(chances: dict[frozenset[str], float]) -> float:
    return -sum(p * math.log2(p) for p in chances.values() if p > 0)


@pytest.mark.parametrize("seed", SEEDS[:20])
def test_a_look_with_nothing_pruned_is_worth_at_least_its_best_indication(seed: int) -> None:
    _, readings, found = looked(seed)
    for look in found:
        if look.pruned < 1e-9 and look.indications:
            table = worlds_then(seed, look.situation)
            best = max(table.gain(name, readings) for name in look.indications)
            assert look.gain_bits[1] >= best - 1e-6


def test_random_models_do_show_patterns() -> None:
    patterns = [len(look.patterns) for seed in SEEDS[:20] for look in looked(seed)[2]]
    assert sum(count > 1 for count in patterns) >= 10


TUG = """
    conditions:
      motor: {values: [stopped, running], to: {running: {minutes: 7}, stopped: {minutes: 2}}}
      place: {values: [ground, airborne], settable: no}
    situations:
      parked: {title: parked}
      running: {title: running, set: {motor: running}}
      flying: {title: flying, set: {motor: running, place: airborne}}
    components:
      pump: {faults: {worn: {rate: 0.2}}}
    quantities:
      pressure: {levels: [normal, low], causes: [{fault: pump.worn, gives: {low: 0.9}}]}
    indications:
      light:
        kind: light
        outcomes: [out, lit]
        rules:
          - {when: {motor: stopped}, then: out}
          - {when: {pressure: low}, then: lit}
          - {then: out}
"""


TWO_LIGHTS = """
    conditions: {motor: {values: [stopped, running]}}
    situations: {running: {title: running, set: {motor: running}}}
    components: {pump: {faults: {worn: {rate: 0.7}}}}
    quantities:
      pressure:
        levels: [normal, low]
        rules: [{when: {motor: stopped}, then: normal}]
        causes: [{fault: pump.worn, gives: {low: 0.6}}]
    indications:
      left: {kind: light, reads: pressure}
      right: {kind: light, reads: pressure, misread: 0.01}
"""


def test_two_lights_of_one_effect_are_lit_together() -> None:
    belief = Reasoner(small.model(TWO_LIGHTS)).believe({})
    (look,) = looks(belief)
    worn = belief.leading.sets.index(frozenset({"pump.worn"}))
    row = look.of_sets[look.places.index(worn)]
    found = {(p["left"], p["right"]): row[i] for i, p in enumerate(look.patterns)}
    assert found["low", "low"] == pytest.approx(0.6 * 0.99)  # and not 0.6 * 0.6
    assert found["normal", "normal"] == pytest.approx(0.4 * 0.99)
    assert row[-1] == pytest.approx(1 - sum(found.values()))


def test_only_situations_that_can_be_reached_and_differ_are_looked_at() -> None:
    reasoner = Reasoner(small.model(TUG))
    (look,) = looks(reasoner.believe({}))
    assert (look.situation, look.minutes, look.indications) == ("running", 7, ("light",))
    assert [(step.condition, step.value) for step in look.steps] == [("motor", "running")]
    assert [dict(pattern) for pattern in look.patterns] == [{"light": "out"}, {"light": "lit"}]
    assert looks(reasoner.believe({}), most=0) == ()
    (back,) = looks(reasoner.believe({}, situation="running"))
    assert (back.situation, back.indications, back.patterns) == ("parked", (), ({},))


def test_sets_that_were_not_judged_count_as_all_together() -> None:
    (look,) = looks(Reasoner(small.model(TUG)).believe({}))
    given = look.given([look.places[1], 999])
    assert given[0] == pytest.approx(look.of_sets[1])
    assert given[1] == pytest.approx(look.spread)


def test_a_large_model_reports_what_it_pruned() -> None:
    belief = reasoner_of("workshop-power-cart").believe({"display_reading": "low"}, situation="in_use")
    found = looks(belief, most=3)
    assert len(found) == 3
    for look in found:
        assert 0 <= look.pruned < 0.3
        assert look.spread.sum() == pytest.approx(1)
        assert look.gain_bits[0] <= look.gain_bits[1]


def test_what_takes_long_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    belief = reasoner_of("workshop-power-cart").believe({}, {})
    every = {look.situation: look for look in looks(belief)}
    sizes = {name: _entries(belief, name) for name in every}
    most = sorted(sizes.values())[len(sizes) // 2]
    monkeypatch.setattr("faultiso.belief.looks.MOST_ENTRIES", most)
    assert {look.situation for look in looks(belief)} == {
        name for name, size in sizes.items() if size <= most
    }


def _entries(belief: Belief, situation: str) -> int:
    way = steps_between(
        belief.model, belief.timeline.moments[-1].conditions, belief.model.situations[situation].values
    )
    assert way is not None
    return belief.scene_of_indications(way[1]).scene.plan_given_faults.entries
