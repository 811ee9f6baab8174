"""The exact chance of readings given the hidden faults, against the list of all worlds."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest

from faultiso.base.problems import TooLarge
from faultiso.world import chance
from faultiso.world.accept import groups
from faultiso.world.chance import chances
from faultiso.world.hidden import Hidden

from ..semantics.answers import Seen, hard
from .test_random_worlds import FEW, MANY, Setup, setup

SEEDS = [*FEW, *(pytest.param(seed, marks=pytest.mark.long) for seed in MANY)]


def some_readings(here: Setup, count: int = 6) -> list[Seen]:
    found = []
    for _ in range(count):
        sign, moment, draw = here.some_look()
        part = here.case.model.indications.get(sign) or here.case.model.checks[sign]
        found.append(hard(sign, here.random.choice(part.outcomes), moment, draw))
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_each_reading_has_its_chance_after_those_before(seed: int) -> None:
    here = setup(seed)
    readings = some_readings(here)
    assert each_chance(here, readings) == pytest.approx(expected(here, readings), rel=1e-9, abs=1e-14)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_forgotten_of_many_rows_makes_no_difference(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(chance, "MANY_ROWS", 1)
    monkeypatch.setattr(chance, "FORGET", 1e-3)
    monkeypatch.setattr(chance, "MOST_FORGOTTEN", 0.01)
    here = setup(seed)
    readings = some_readings(here)
    try:
        found = each_chance(here, readings)
    except TooLarge:
        return
    assert found == pytest.approx(expected(here, readings), rel=0.03)


def each_chance(here: Setup, readings: Sequence[Seen]) -> list[float]:
    hidden = Hidden(here.case.model, here.hidden)
    looks = [hidden.look(r.sign, here.case.timeline, r.moment, r.draw) for r in readings]
    outcomes = [here.known(reading).outcome for reading in readings]
    return chances(
        hidden, [(look, look.sign.outcomes.index(o)) for look, o in zip(looks, outcomes, strict=True)]
    )


def expected(here: Setup, readings: Sequence[Seen]) -> list[float]:
    """P(reading | those before it), by the list of all worlds; what is impossible is left out."""
    seen: list[Seen] = []
    found = []
    for reading in readings:
        found.append(here.chance([*seen, reading]) / here.chance(seen))
        if found[-1] > 1e-12:
            seen.append(reading)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_groups_of_readings_are_independent(seed: int) -> None:
    here = setup(seed)
    readings = some_readings(here)
    hidden = Hidden(here.case.model, here.hidden)
    looks = [hidden.look(r.sign, here.case.timeline, r.moment, r.draw) for r in readings]
    parted = groups(hidden, [(look, 0) for look in looks])
    assert sorted(place for group in parted for place in group) == list(range(len(readings)))
    of_each = [here.chance([readings[place] for place in group]) for group in parted]
    assert here.chance(readings) == pytest.approx(math.prod(of_each), abs=1e-12)
