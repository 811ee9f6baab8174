"""Gamma and beta in closed form, against the quantiles of another library."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from faultiso.learning.conjugate import Beta, Gamma, events_for

POSITIVE = st.floats(0.3, 200)
SHARE = st.floats(0.02, 0.98)


@given(POSITIVE, POSITIVE, SHARE)
def test_quantiles(a: float, b: float, share: float) -> None:
    assert Gamma(a, b).quantile(share) == pytest.approx(stats.gamma.ppf(share, a, scale=1 / b), rel=1e-9)
    assert Beta(a, b).quantile(share) == pytest.approx(stats.beta.ppf(share, a, b), rel=1e-9)
    assert Gamma(a, b).mean == pytest.approx(stats.gamma.mean(a, scale=1 / b))
    assert Beta(a, b).mean == pytest.approx(stats.beta.mean(a, b))


@given(st.floats(1.2, 50))
def test_good_to_a_factor(factor: float) -> None:
    prior = Gamma(events_for(factor), 1.0)
    assert prior.quantile(0.95) / prior.quantile(0.05) == pytest.approx(factor**2)


def test_counts_add_up() -> None:
    assert Gamma(2, 10).after(1, 5).after(2, 0) == Gamma(5, 15)
    assert Beta(2, 3).after(1, 0).after(0, 4) == Beta(3, 7)
