"""What exact reasoning over a model will cost, told beforehand."""

from __future__ import annotations

import pytest

from faultiso.belief.width import MOST_BYTES, Width, widths

from ..models.shipped import NAMES, model_of
from .rigs import chain


@pytest.mark.parametrize("name", NAMES)
def test_the_shipped_models_can_be_reasoned_about(name: str) -> None:
    found = widths(model_of(name))
    assert [width.sets for width in found] == [1, 2, 4, 6]
    assert all(not width.too_large for width in found)
    entries = [width.entries for width in found]
    assert entries == sorted(entries)


def test_a_model_without_situations_is_judged_at_its_start() -> None:
    (only,) = widths(chain([0.1] * 4))
    assert only.sets == 1
    assert 0 < only.entries < 1e4


def test_what_needs_more_than_the_bound_is_too_large() -> None:
    assert not Width(1, MOST_BYTES / 24).too_large
    assert Width(1, MOST_BYTES / 24 * 1.01).too_large
    assert Width(1, 1e6).megabytes == pytest.approx(24)


def test_a_chain_four_times_as_long_is_nowhere_near_the_power_as_large() -> None:
    lengths = [widths(chain([0.1] * n))[0].entries for n in (4, 16)]
    assert lengths[1] < 4**2 * lengths[0]
