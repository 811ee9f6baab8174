"""Chances and minutes in words: never nought or a hundred where it is neither."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.figures import capital, in_hundred, minutes_words


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.0, "0"),
        (0.004, "under 1"),
        (0.01, "1"),
        (0.48, "48"),
        (0.99, "99"),
        (0.9951, "over 99"),
        (1.0, "100"),
    ],
)
def test_chances(chance: float, words: str) -> None:
    assert in_hundred(chance) == words


@given(st.floats(0.0, 1.0))
def test_only_certainty_is_told_as_certain(chance: float) -> None:
    assert (in_hundred(chance) in ("0", "100")) == (chance in (0.0, 1.0))


def test_minutes_and_capitals() -> None:
    assert minutes_words(24.6) == "25 min"
    assert capital("pump 1, Worn") == "Pump 1, Worn"
    assert capital("") == ""
