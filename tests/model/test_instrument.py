"""How far an instrument scatters, and in which steps it is read."""

from __future__ import annotations

import pytest

from faultiso.model.instrument import scatter, step
from faultiso.model.parts import Indication, Rule


def gauge(tolerance: float, ranges: dict[str, tuple[float, float]]) -> Indication:
    return Indication(
        "gauge", "gauge", "gauge", tuple(ranges), (Rule(then=""),), tolerance=tolerance, ranges=ranges
    )


WIDE = {"none": (0.0, 50.0), "normal": (2600.0, 3000.0)}


@pytest.mark.parametrize(
    ("tolerance", "steps"),
    [
        (40.0, 20.0),
        (50.0, 20.0),
        (39.9, 10.0),
        (10.0, 5.0),
        (2.0, 1.0),
        (0.5, 0.2),
        (0.02, 0.01),
        (3000, 1000),
    ],
)
def test_steps_are_round_and_within_the_scatter(tolerance: float, steps: float) -> None:
    assert scatter(gauge(tolerance, WIDE)) == tolerance / 2
    assert step(gauge(tolerance, WIDE)) == steps


def test_without_a_tolerance_the_whole_scale_counts() -> None:
    assert scatter(gauge(0.0, WIDE)) == 15.0
    assert step(gauge(0.0, WIDE)) == 10.0
    assert scatter(gauge(0.0, {"none": (0.0, 0.0)})) == 1 / 200
