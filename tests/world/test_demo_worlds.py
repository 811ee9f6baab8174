"""Answers of many seeds on the shipped models against what the reasoner, told the faults, expects."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from random import Random

import pytest

from faultiso.model.system import Model
from faultiso.network.timeline import Timeline, start
from faultiso.world.world import Worlds

from ..models.shipped import model_of
from .believed import Believed, Place
from .statistics import counted, p_value, refused

DEMO = "whinchat-hydraulics"
SITUATIONS = ("cruise", "at_idle", "parked", "run_up", "after_flight")
TRUTHS = (
    frozenset[str](),
    frozenset({"pump_1.port_plate_worn"}),
    frozenset({"pump_3_contactor.phase_lost", "connector_t3.loose"}),
    frozenset({"outlet_check_1.leaking", "accumulator_1.piston_seal", "rudder_half_b.rod_seal"}),
)
FEW, MANY = 2_000, 20_000
SIZES = [FEW, pytest.param(MANY, marks=pytest.mark.long)]


def demo() -> Model:
    return model_of(DEMO)


def history() -> Timeline:
    """One situation after the other."""
    timeline = start(demo().situations[SITUATIONS[0]].values)
    for name in SITUATIONS[1:]:
        timeline = timeline.then(demo().situations[name].values)
    return timeline


def places() -> list[Place]:
    return [(sign.name, moment) for moment in range(len(SITUATIONS)) for sign in demo().signs()]


@cache
def believed(faults: frozenset[str]) -> Believed:
    return Believed(demo(), history(), faults)


def sizes(*looks: Place) -> list[int]:
    return [len((demo().indications.get(name) or demo().checks[name]).outcomes) for name, _ in looks]


@pytest.mark.parametrize("seeds", SIZES)
def test_every_sign_in_every_situation_has_the_models_chances(seeds: int) -> None:
    found: dict[object, float] = {}
    for faults in TRUTHS:
        worlds = Worlds(demo(), faults, range(seeds))
        for place, chances in zip(places(), believed(faults).chances(places()), strict=True):
            counts = counted(sizes(place), worlds.outcomes(place[0], history(), place[1], 1))
            found[tuple(sorted(faults)), place] = p_value(counts, chances)
    assert refused(found) == {}


@cache
def pairs(count: int) -> tuple[tuple[frozenset[str], Place, Place], ...]:
    """Pairs of different signs or situations; half of them of signs that a fault makes show something."""
    random = Random(5)
    found = []
    for number in range(count):
        faults = TRUTHS[number % len(TRUTHS)]
        open_places = likely(faults) if number % 8 >= 4 and faults else places()
        found.append((faults, *random.sample(open_places, 2)))
    return tuple(found)


@cache
def likely(faults: frozenset[str]) -> list[Place]:
    """Signs whose outcome is not nearly sure."""
    each = zip(places(), believed(faults).chances(places()), strict=True)
    return [place for place, chances in each if max(chances) < 0.95]


@cache
def joints(count: int) -> tuple[object, ...]:
    return tuple(believed(faults).joint(one, two) for faults, one, two in pairs(count))


def far_off(count: int, seeds: int, answers: Callable[[Worlds, Place], object]) -> dict[object, float]:
    worlds = {faults: Worlds(demo(), faults, range(seeds)) for faults in TRUTHS}
    found: dict[object, float] = {}
    for (faults, one, two), joint in zip(pairs(count), joints(count), strict=True):
        counts = counted(sizes(one, two), answers(worlds[faults], one), answers(worlds[faults], two))
        found[tuple(sorted(faults)), one, two] = p_value(counts, joint)
    return refused(found)


def answered(worlds: Worlds, place: Place) -> object:
    return worlds.outcomes(place[0], history(), place[1], 1)


def drawn_anew(worlds: Worlds, place: Place) -> object:
    """A broken world: it draws effects, leaks and errors again at every question."""
    again = [int(seed) + 10**6 * (1 + places().index(place)) for seed in worlds.draws.seeds]
    return answered(Worlds(demo(), worlds.hidden.faults, again), place)


@pytest.mark.parametrize("count, seeds", [(40, FEW), pytest.param(200, MANY, marks=pytest.mark.long)])
def test_pairs_of_answers_have_the_models_joint_distribution(count: int, seeds: int) -> None:
    assert far_off(count, seeds, answered) == {}


def test_a_world_that_draws_anew_at_each_question_would_be_found() -> None:
    assert far_off(40, FEW, drawn_anew) != {}
