"""The density of one figure: exact where rows say what happened, whatever it is drawn out about."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.learning.conjugate import Beta, Gamma
from faultiso.learning.posterior import Said, density, information, log_posterior

ENDS = (0.05, 0.5, 0.95)


def told(chance: float, yes: float, no: float, **more: float) -> Said:
    """Rows that say plainly what happened."""
    return Said(np.array([1 / chance, -1 / (1 - chance)]), np.array([yes, no]), chance, **more)


@given(st.floats(0.4, 40), st.floats(0.4, 40), st.integers(0, 60), st.integers(0, 60))
def test_chances_told_plainly_are_a_beta(a: float, b: float, yes: int, no: int) -> None:
    expected = Beta(a, b).after(yes, no)
    said = told(expected.mean, yes, no)
    x = math.log(expected.yes / expected.no)
    found = density(Beta(a, b), said, x, information(Beta(a, b), said, x) ** -0.5, 1.0)
    assert found.mean == pytest.approx(expected.mean, rel=2e-3, abs=1e-6)
    for share in ENDS:
        assert found.quantile(share) == pytest.approx(expected.quantile(share), rel=5e-3, abs=1e-6)
    assert (said.yes, said.no) == (pytest.approx(yes), pytest.approx(no))


@given(st.floats(0.5, 20), st.integers(0, 40), st.floats(0, 1e5))
def test_rates_told_plainly_are_a_gamma(events: float, seen: int, quiet: float) -> None:
    """Rows of one thousandth of an hour each: then coming up in a row is a Poisson event."""
    own, rows = 1e-3, 400_000
    prior = Gamma(events, 1e4)
    expected = prior.after(seen, rows * own + quiet)
    chance = -math.expm1(-expected.mean * own)
    said = told(chance, seen, rows - seen, own=own, hours=quiet)
    x = math.log(expected.mean)
    found = density(prior, said, x, information(prior, said, x) ** -0.5, 1.0)
    assert found.mean == pytest.approx(expected.mean, rel=2e-3)
    for share in ENDS:
        assert found.quantile(share) == pytest.approx(expected.quantile(share), rel=5e-3)


def test_drawn_out_it_keeps_its_mode_and_gains_width() -> None:
    prior, said = Beta(8, 12), told(0.4, 4, 6)
    x = math.log(0.4 / 0.6)
    deviation = information(prior, said, x) ** -0.5
    one, three = (density(prior, said, x, deviation, stretch) for stretch in (1.0, 3.0))
    middle = log_posterior(prior, said, one.x)
    assert one.x[int(middle.argmax())] == pytest.approx(x, abs=0.05)
    for share in (0.05, 0.95):
        apart = [math.log(d.quantile(share) / (1 - d.quantile(share))) - x for d in (one, three)]
        assert apart[1] == pytest.approx(3 * apart[0], rel=1e-6)


def test_a_row_that_says_nothing_moves_nothing() -> None:
    said = Said(np.zeros(1), np.array([1000.0]), 0.3)
    assert (said.yes, said.no) == (0.0, 0.0)
    x = math.log(0.3 / 0.7)
    prior = Beta(3, 7)
    found = density(prior, said, x, information(prior, said, x) ** -0.5, 1.0)
    assert found.quantile(0.95) == pytest.approx(prior.quantile(0.95), rel=2e-3)
