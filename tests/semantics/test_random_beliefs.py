"""The public way (a Reasoner's Belief) against the list of all worlds, on random models."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from faultiso.belief.belief import Belief
from faultiso.belief.evidence import Reading
from faultiso.belief.looks import looks
from faultiso.belief.reasoner import Reasoner
from faultiso.model.parts import Situation
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline

from . import frozen, oracle
from .answers import Seen, Table, hard
from .test_random_models import SEEDS, case
from .test_random_models import worlds as worlds_now

CLOSE = 1e-9


@cache
def worlds(seed: int, timeline: Timeline, believed_at: int) -> Table:
    """All worlds; what counts as one reading is the network's (compared with ours in another test)."""
    model = case(seed).model
    now = timeline == case(seed).timeline
    ours = worlds_now(seed) if now else oracle.table(model, timeline, believed_at)
    return replace(ours, draws=frozen.table(model, timeline).draws)


@cache
def believed(seed: int) -> tuple[Belief, Table, list[Seen]]:
    model, timeline = case(seed).model, case(seed).timeline
    table = worlds(seed, timeline, timeline.now)
    readings = said_once(table, case(seed).readings)
    if not table.evidence(readings):
        readings = []
    belief = Reasoner(model).belief(timeline, [as_reading(reading) for reading in readings])
    return belief, table, readings


def said_once(table: Table, readings: tuple[Seen, ...]) -> list[Seen]:
    """Without what was said of the same reading before: doubts about one look are no independent witnesses."""
    kept = {(look.sign, table.draws[look.sign, look.moment], look.draw): look for look in reversed(readings)}
    return list(reversed(kept.values()))


def as_reading(seen: Seen) -> Reading:
    if len(seen.weights) == 1:
        return Reading(seen.sign, outcome=next(iter(seen.weights)), moment=seen.moment, draw=seen.draw)
    return Reading(seen.sign, doubtful=tuple(seen.weights.items()), moment=seen.moment, draw=seen.draw)


@pytest.mark.parametrize("seed", SEEDS)
def test_faults_and_sets_of_faults(seed: int) -> None:
    belief, table, readings = believed(seed)
    assert belief.faults == pytest.approx(table.fault_chances(readings), abs=CLOSE)
    sets = table.set_chances(readings)
    for diagnosis in belief.diagnoses:
        assert diagnosis.probability == pytest.approx(sets.pop(frozenset(diagnosis.faults), 0.0), abs=CLOSE)
    assert belief.unlisted == pytest.approx(sum(sets.values()), abs=CLOSE)
    for name, component in belief.model.components.items():
        chance = some_of(table, readings, {fault.name for fault in component.faults})
        assert belief.components[name] == pytest.approx(chance, abs=CLOSE)


def some_of(table: Table, readings: list[Seen], faults: set[str]) -> float:
    return sum(chance for chosen, chance in table.set_chances(readings).items() if chosen & faults)


@pytest.mark.parametrize("seed", SEEDS)
def test_probability_and_conflict_of_the_readings(seed: int) -> None:
    belief, table, readings = believed(seed)
    assert belief.log2_evidence == pytest.approx(math.log2(table.evidence(readings)), abs=CLOSE)
    assert belief.surprise_bits == pytest.approx(table.surprise(readings), abs=CLOSE)


@pytest.mark.parametrize("seed", SEEDS)
def test_contradiction_when_no_world_is_left(seed: int) -> None:
    model, timeline = case(seed).model, case(seed).timeline
    table = worlds(seed, timeline, timeline.now)
    readings = said_once(table, case(seed).readings)
    belief = Reasoner(model).belief(timeline, [as_reading(reading) for reading in readings])
    assert belief.possible == (table.evidence(readings) > 0)
    if not belief.possible:
        needed = [reading for reading in readings if as_reading(reading) in belief.contradiction]
        assert table.evidence(needed) == 0
        for reading in needed:
            assert table.evidence([other for other in needed if other is not reading]) > 0


@pytest.mark.parametrize("seed", SEEDS)
def test_value_of_every_sign(seed: int) -> None:
    belief, _, readings = believed(seed)
    for name, prospect in belief.prospects.items():
        table = worlds(seed, prospect.timeline, belief.timeline.now)
        value = belief.values[name]
        assert dict(value.outcomes) == pytest.approx(table.outcome_chances(name, readings), abs=CLOSE)
        assert value.gain_bits_marginal == pytest.approx(table.gain_marginal(name, readings), abs=CLOSE)
        lower, upper = value.gain_bits
        assert lower - CLOSE <= table.gain(name, readings) <= upper + CLOSE


@pytest.mark.parametrize("seed", SEEDS)
def test_doubt_about_each_reading(seed: int) -> None:
    belief, table, readings = believed(seed)
    expected = {as_reading(seen): chance for seen, chance in table.error_chances(readings).items()}
    assert dict(belief.doubts) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize("seed", SEEDS)
def test_each_reading_left_out(seed: int) -> None:
    """10 log10 of the odds without the reading (Good 1950)."""
    belief, table, readings = believed(seed)
    left = belief.left_out
    for place, folded in enumerate(left.folded):
        out = {belief.readings[number] for number in folded.readings}
        kept = [seen for seen in readings if as_reading(seen) not in out]
        for fault, p in table.fault_chances(kept).items():
            if 1e-12 < p < 1 - 1e-12:
                assert left.without[fault][place] == pytest.approx(10 * math.log10(p / (1 - p)), abs=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_looking_at_everything_in_another_situation(seed: int) -> None:
    model, timeline = with_situations(case(seed).model), case(seed).timeline
    table = worlds(seed, timeline, timeline.now)
    readings = said_once(table, case(seed).readings)
    readings = readings if table.evidence(readings) else []
    belief = Reasoner(model).belief(timeline, [as_reading(reading) for reading in readings])
    for look in looks(belief) if belief.unlisted < CLOSE else ():  # else judged by the listed sets only
        then = timeline.then(model.situations[look.situation].values)
        there = worlds(seed, then, timeline.now)
        patterns = [[hard(name, o, then.now) for name, o in pattern.items()] for pattern in look.patterns]
        chances = [there.evidence([*readings, *pattern]) / there.evidence(readings) for pattern in patterns]
        assert look.spread[:-1].tolist() == pytest.approx(chances, abs=CLOSE)
        lower, upper = look.gain_bits
        assert lower - CLOSE <= there.joint_gain(patterns, readings) <= upper + CLOSE


def with_situations(model: Model) -> Model:
    """The model with two situations: every condition at its first, and every condition at its last value."""
    values = {
        name: {c.name: c.values[place] for c in model.conditions.values()}
        for name, place in (("first", 0), ("last", -1))
    }
    return replace(model, situations={name: Situation(name, name, v) for name, v in values.items()})
