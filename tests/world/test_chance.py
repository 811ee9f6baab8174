"""The exact chance of readings given the hidden faults, against the list of all worlds."""

from __future__ import annotations

import math

import pytest

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
    seen: list[Seen] = []
    readings = some_readings(here)
    hidden = Hidden(here.case.model, here.hidden)
    known = [here.known(reading) for reading in readings]
    shown = [
        (look := hidden.look(k.sign, k.timeline, k.moment, k.draw), look.sign.outcomes.index(k.outcome))
        for k in known
    ]
    for reading, found in zip(readings, chances(hidden, shown), strict=True):
        expected = here.chance([*seen, reading]) / here.chance(seen)
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-14)
        if expected > 1e-12:
            seen.append(reading)


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
