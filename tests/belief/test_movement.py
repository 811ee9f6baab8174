"""How far a reading moved the chances, against sums by hand."""

from __future__ import annotations

from dataclasses import dataclass
from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.belief.movement import LITTLE, MUCH, SOME, moved_bits, moved_words


@dataclass
class Chances:
    """As much of a belief as is asked for."""

    faults: dict[str, float]


def moved(before: dict[str, float], after: dict[str, float]) -> float:
    return moved_bits(Chances(before), Chances(after))  # type: ignore[arg-type]


def test_a_published_form_by_hand() -> None:
    by_hand = 0.9 * log2(0.9 / 0.5) + 0.1 * log2(0.1 / 0.5)
    assert moved({"a": 0.5}, {"a": 0.9}) == pytest.approx(by_hand)
    assert moved({"a": 0.5, "b": 0.5}, {"a": 1.0, "b": 0.0}) == pytest.approx(2.0)


CHANCE = st.floats(0.001, 0.999)


@given(st.lists(st.tuples(CHANCE, CHANCE), min_size=1, max_size=5))
def test_it_is_never_negative_and_nothing_where_nothing_moved(pairs: list[tuple[float, float]]) -> None:
    before = {f"f{k}": one for k, (one, _) in enumerate(pairs)}
    after = {f"f{k}": other for k, (_, other) in enumerate(pairs)}
    assert moved(before, after) >= -1e-12
    assert moved(before, before) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("bits", "word"),
    [
        (0.0, "nothing"),
        (LITTLE - 1e-9, "nothing"),
        (LITTLE, "little"),
        (SOME, "some"),
        (MUCH, "much"),
        (9.0, "much"),
    ],
)
def test_in_words(bits: float, word: str) -> None:
    assert moved_words(bits) == word
