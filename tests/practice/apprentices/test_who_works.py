"""The knobs themselves: what is refused, how a cohort is spread, luck by name."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.problems import UsageError
from faultiso.practice.apprentices.apprentice import HABITS, POORER, Apprentice, cohort
from faultiso.practice.apprentices.chance import Chance


@pytest.mark.parametrize(
    ("knob", "value"),
    [(habit, bad) for habit in ("skill", *HABITS) for bad in (-0.01, 1.01, float("nan"))]
    + [("seed", -1), ("seed", 2**64), ("way", "luck")],
)
def test_what_is_no_probability_is_refused_by_name(knob: str, value: Any) -> None:
    with pytest.raises(UsageError, match=knob):
        replace(Apprentice(), **{knob: value})


def test_an_apprentice_does_not_change() -> None:
    with pytest.raises(FrozenInstanceError):
        Apprentice().skill = 0.5  # type: ignore[misc]


@given(st.integers(1, 60), st.integers(0, 2**64 - 1))
def test_a_cohort_is_spread_over_skill_and_the_same_for_a_seed(size: int, seed: int) -> None:
    found = cohort(size, seed)
    assert found == cohort(size, seed)
    assert [a.skill for a in found] == [(k + 0.5) / size for k in range(size)]
    assert len({a.seed for a in found}) == size
    assert {a.way for a in found} == set(POORER[:size])


def test_habits_of_a_cohort_fall_with_skill() -> None:
    found = cohort(200, 1)
    for habit in HABITS:
        low, high = ([getattr(a, habit) for a in half] for half in (found[:100], found[100:]))
        assert sum(low) > 2 * sum(high) > 0


@given(st.integers(0, 2**64 - 1), st.floats(0, 1))
def test_luck_of_one_name_hangs_on_no_other(seed: int, probability: float) -> None:
    alone, beside = Chance(seed, "a case"), Chance(seed, "a case")
    first = [alone.number("slip") for _ in range(3)]
    second = []
    for _ in range(3):
        beside.happens("skill", probability)
        second.append(beside.number("slip"))
    assert first == second
    assert (
        len({*first, Chance(seed, "another case").number("slip"), Chance(seed, "a case").number("skill")})
        == 5
    )


def test_luck_is_as_probable_as_it_says() -> None:
    luck = Chance(3, "a case")
    assert sum(luck.happens("slip", 0.3) for _ in range(2000)) == pytest.approx(600, abs=65)
    picked = [luck.one_of("which", "abc") for _ in range(900)]
    assert all(picked.count(letter) == pytest.approx(300, abs=60) for letter in "abc")
