"""What is refused as too large is refused before anything is computed, and just where it would fail."""

from __future__ import annotations

import pytest

from faultiso.base.problems import TooLarge
from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner
from tests.practice.frame import CART, case_of

MODEL = case_of(CART)[1]
SEEN = {"overheat_light": "lit", "run_light": "out"}


def belief(memory: int) -> Belief:
    return Reasoner(MODEL, memory).believe(SEEN, situation="long_run")


def refused(memory: int, ask: str) -> bool:
    try:
        found = belief(memory)
        _ = found.open if ask == "open" else found.refuse_if_too_large()
    except TooLarge:
        return True
    return False


@pytest.mark.parametrize("memory", [1 << power for power in range(9, 21)])
def test_it_is_refused_just_where_it_would_fail(memory: int) -> None:
    assert refused(memory, "open") == refused(memory, "size")


def test_some_are_refused_and_some_are_not() -> None:
    assert refused(1 << 9, "size") and not refused(1 << 20, "size")


def test_nothing_is_computed_for_it() -> None:
    found = belief(1 << 30)
    found.refuse_if_too_large()
    assert "open" not in found.__dict__
