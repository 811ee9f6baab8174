"""Played policies against their exact expected minutes, the same on any number of processes."""

from __future__ import annotations

import numpy as np
import pytest

from faultiso.planning.sequencing.generate import Kind, generate
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.policies import (
    Policy,
    SymptomTable,
    cheapest_check_first,
    expected_minutes,
    most_probable_first,
    one_step,
)
from faultiso.planning.sequencing.simulate import mean, simulate

KIND = Kind(faults=4, checks=4, noise=0.1, together=2, fails=0.1, false_verified=0.1, looked_at=0.5)
POLICIES: dict[str, Policy] = {
    "one step": one_step,
    "most probable first": most_probable_first,
    "cheapest check first": cheapest_check_first,
    "symptom table": SymptomTable((2, 0, 1, 3)),
}


@pytest.mark.parametrize("kind", [KIND, Kind("isolate", faults=4, checks=4, noise=0.1)])
def test_the_mean_is_what_following_every_outcome_gives(kind: Kind) -> None:
    problem = generate(kind, 3)
    played = simulate(problem, POLICIES, plays=3000, seed=1, processes=1)
    for name, policy in POLICIES.items():
        exact = expected_minutes(Moves(problem), policy)
        found = mean(played[name].minutes)
        doubt = found.high - found.value
        assert abs(found.value - exact) <= 2.5 * doubt + 1e-9, name


def test_two_processes_play_what_one_plays() -> None:
    problem = generate(KIND, 5)
    told: list[tuple[int, int]] = []
    alone = simulate(problem, POLICIES, plays=1200, seed=2, processes=1)
    shared = simulate(
        problem, POLICIES, plays=1200, seed=2, processes=2, progress=lambda done, of: told.append((done, of))
    )
    for name in POLICIES:
        assert np.array_equal(alone[name].minutes, shared[name].minutes)
        assert np.array_equal(alone[name].serviceable, shared[name].serviceable)
    assert told == [(500, 1200), (1000, 1200), (1200, 1200)]


def test_common_draws_make_a_difference_of_policies_sharper() -> None:
    played = simulate(generate(KIND, 3), POLICIES, plays=2000, seed=1, processes=1)
    first, second = played["one step"].minutes, played["symptom table"].minutes
    together = mean(second - first)
    apart = mean(first).high - mean(first).value + mean(second).high - mean(second).value
    assert together.high - together.value < apart


def test_good_units_removed_are_counted() -> None:
    problem = generate(Kind(faults=4, checks=0, nothing_wrong=0.0), 1)
    played = simulate(problem, {"p": most_probable_first}, plays=500, processes=1)["p"]
    assert played.serviceable.min() == 0
    assert played.serviceable.max() == 3
    assert played.done.all()
    assert not played.falsely_done.any()


def test_no_two_parts_of_a_simulation_are_the_same() -> None:
    played = simulate(generate(KIND, 5), {"p": one_step}, plays=1000, seed=2, processes=1)["p"]
    assert not np.array_equal(played.minutes[:500], played.minutes[500:])


def test_what_was_falsely_verified_is_told() -> None:
    played = simulate(generate(KIND, 5), {"p": most_probable_first}, plays=1000, processes=1)["p"]
    assert 0 < played.falsely_done.mean() < 0.2
    assert np.all(played.done >= played.falsely_done)
