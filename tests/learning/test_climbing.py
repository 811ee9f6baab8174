"""The top of the climb is one: nothing higher nearby; and the joint spread is the curvature there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from faultiso.learning.climbing import Place, climbed, maximised
from faultiso.learning.problem import Problem, Strength
from faultiso.learning.rows import Evidence
from faultiso.learning.sharing import shared
from faultiso.learning.synthetic import drawn_truth, synthetic
from tests.learning.shop import evidence, levelled, rig

STEP = 1e-3


def problem(seed: int, one_fault: bool = False, rows: int = 60, hours: float = 100) -> Problem:
    model = replace(rig(), one_fault=one_fault, flight_hours_at_risk=hours)
    truth = drawn_truth(model, Strength(), seed)
    return Problem(model, evidence(synthetic(model, rows, seed, truth, {"unproved": 0.5}), model), Strength())


def top(of: Problem) -> Place:
    return climbed(of.see, of.priors, of.start, lambda number: None)


@pytest.mark.parametrize("one_fault", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_the_top_is_flat_and_higher_than_the_start(seed: int, one_fault: bool) -> None:
    found = problem(seed, one_fault)
    place = top(found)
    assert place.height >= found.see(found.start).height
    for number in range(len(place.x)):
        for side in (-0.05, 0.05):
            moved = place.x.copy()
            moved[number] += side
            assert found.see(moved).height < place.height


def test_each_round_goes_up() -> None:
    found = problem(1)
    here = found.see(found.start)
    for _ in range(6):
        there = found.see(maximised(here, found.priors))
        assert there.height >= here.height - 1e-9
        here = there


@pytest.mark.parametrize("strengths", ["low: 0.5, none: 0.3", "low: 0.6, none: 0.4"])
@pytest.mark.parametrize("seed", range(3))
def test_levels_of_one_cause_share_one_draw(strengths: str, seed: int) -> None:
    """The step of each round leads to the top of the height, also where levels leave nothing to the usual one."""
    model = levelled(strengths)
    biases = {"unproved": 1.0, "unmentioned": 1.0}
    rows = evidence(synthetic(model, 120, seed, None, biases), model)  # type: ignore[arg-type]
    found, rounds = Problem(model, rows, Strength()), [0]
    here = found.see(found.start)
    for _ in range(6):
        there = found.see(maximised(here, found.priors))
        assert there.height >= here.height - 1e-9
        here = there
    place = climbed(found.see, found.priors, found.start, rounds.append)
    assert rounds[-1] < 60
    assert maximised(place, found.priors) == pytest.approx(place.x, abs=1e-4)


def test_where_no_way_leads_up_it_ends() -> None:
    found, places = problem(0), []

    def lower_each_time(x: np.ndarray) -> Place:
        places.append(x)
        return replace(found.see(x), height=-1e-6 * len(places))

    place = climbed(lower_each_time, found.priors, found.start, lambda number: None)
    assert len(places) < 30 and place.height == -1e-6
    assert np.array_equal(place.x, found.start)


@pytest.mark.parametrize(("one_fault", "hours"), [(False, 100), (True, 100), (True, 1000)])
@pytest.mark.parametrize("seed", range(3))
def test_the_joint_spread_is_the_curvature(seed: int, one_fault: bool, hours: float) -> None:
    """Second differences of the height, all pairs of figures; in long hours that only one fault may be there
    ties the rates together."""
    found = problem(seed, one_fault, hours=hours)
    place = top(found)
    number = len(place.x)
    curved = np.zeros((number, number))
    steps = STEP * np.eye(number)
    for a in range(number):
        for b in range(a + 1):
            corners = [
                found.see(place.x + i * steps[a] + j * steps[b]).height
                for i, j in ((1, 1), (1, -1), (-1, 1), (-1, -1))
            ]
            curved[a, b] = curved[b, a] = -(corners[0] - corners[1] - corners[2] + corners[3]) / (4 * STEP**2)
    spread = shared(found, place)
    inverse = np.linalg.inv(curved)
    assert spread.alone == pytest.approx(1 / np.diag(curved), rel=0.01)
    assert spread.stretch == pytest.approx(np.sqrt(np.diag(inverse) * np.diag(curved)), rel=0.02)
    scale = np.sqrt(np.outer(np.diag(inverse), np.diag(inverse)))
    assert spread.correlation == pytest.approx(inverse / scale, abs=0.03)


def test_without_rows_the_start_is_the_top() -> None:
    found = Problem(rig(), Evidence((), 0.0), Strength())
    assert top(found).x == pytest.approx(found.start, abs=1e-4)
