"""Numbers that an instrument shows have the density by which the reasoner weighs them."""

from __future__ import annotations

import numpy as np
import pytest

from faultiso.belief.evidence import Reading, weights
from faultiso.model.instrument import step
from faultiso.world.numbers import number_shown

from ..belief.test_numbers_as_evidence import GAUGE, RANGES, density
from .statistics import p_value

MANY = 20_000


def shown(outcome: str) -> np.ndarray:
    draws = np.random.default_rng(1).random((MANY, 2)).tolist()
    return np.array([number_shown(GAUGE, outcome, *each) for each in draws])


@pytest.mark.parametrize("outcome", ["normal", "low"])
def test_numbers_have_the_density_of_the_evidence(outcome: str) -> None:
    low, high = RANGES[outcome]
    numbers, width = shown(outcome), step(GAUGE)
    values = np.arange(np.floor(low / width) - 8, np.ceil(high / width) + 9) * width
    inside = np.linspace(-width / 2, width / 2, 9)
    chances = np.array([np.mean([density(v + d, low, high, 20.0) for d in inside]) * width for v in values])
    counts = [(numbers == value).sum() for value in values]
    assert sum(counts) == MANY
    assert p_value(counts, chances / chances.sum()) > 1e-3


def test_a_number_is_evidence_for_what_is_read() -> None:
    for outcome in RANGES:
        best = [weights(Reading("gauge", number=number), GAUGE)[outcome] for number in shown(outcome)[:500]]
        assert np.mean(np.array(best) == 1.0) > 0.98


def test_what_is_never_negative_is_not_shown_so_and_dashes_are_no_number() -> None:
    assert min(shown("none")) == 0.0
    assert number_shown(GAUGE, "dashes", 0.5, 0.5) is None
    assert number_shown(GAUGE, "none", 0.0, 0.0) == 0.0
    assert number_shown(GAUGE, "normal", 0.5, 0.5) == 2700.0
