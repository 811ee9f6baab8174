"""Information from covariances, compared with the definition in fifty digits."""

from __future__ import annotations

from decimal import Decimal, localcontext

import numpy as np
import pytest

from faultiso.engine.features import Reading
from faultiso.engine.gain import SMALL, list_outcomes


def information_bits(p_fault: float, p_outcomes: list[float], shifts: list[float]) -> float:
    """Sum of p(f, o) log2( p(f, o) / p(f) p(o) ), exactly; an outcome's shift belongs to "present"."""
    with localcontext() as context:
        context.prec = 50
        total = Decimal(0)
        f = Decimal(p_fault)
        for p, shift in zip(map(Decimal, p_outcomes), map(Decimal, shifts), strict=True):
            for side, change in ((f, shift), (1 - f, -shift)):
                together = side * p + change
                if together > 0:
                    total += together * (together / (side * p)).ln()
        return float(total / Decimal(2).ln())


@pytest.mark.parametrize("p_fault", [1e-6, 0.003, 0.5, 0.9])
@pytest.mark.parametrize("p_second", [1e-5, 0.2, 0.5, 0.97])
@pytest.mark.parametrize("relative", [1e-7, SMALL / 2, -SMALL / 2, 3 * SMALL, 0.01, -0.5])
def test_two_outcomes(p_fault: float, p_second: float, relative: float) -> None:
    shift = relative * min(p_fault, 1 - p_fault) * min(p_second, 1 - p_second)
    outcomes = list_outcomes([Reading(np.array([1.0, 0.0]), (0,), np.array([[-1.0, 1.0]]))])
    p_row = outcomes.probabilities(np.array([p_second]))
    np.testing.assert_allclose(p_row, [1 - p_second, p_second])
    gain = outcomes.gains(np.array([p_fault]), p_row, np.array([[shift]]))
    exact = information_bits(p_fault, [1 - p_second, p_second], [-shift, shift])
    assert gain[0] == pytest.approx(exact, rel=2e-7, abs=1e-20 if abs(relative) < SMALL else 1e-15)


@pytest.mark.parametrize("scale", [1e-6, 1e-3, 0.5])
def test_three_outcomes_and_two_faults(scale: float) -> None:
    """A check of three outcomes beside one of two; the second fault is certain and tells nothing."""
    readings = [
        Reading(np.array([1.0, 0.0]), (1,), np.array([[-0.5, 0.5]])),
        Reading(np.array([1.0, 0.0, 0.0]), (0, 1), np.array([[-1.0, 1.0, 0.0], [-1.0, 0.0, 1.0]])),
    ]
    outcomes = list_outcomes(readings)
    mean = np.array([0.3, 0.2])
    shifts = scale * np.array([0.02, -0.03])
    p_row = outcomes.probabilities(mean)
    np.testing.assert_allclose(p_row, [0.9, 0.1, 0.5, 0.3, 0.2])
    gains = outcomes.gains(np.array([0.1, 1.0]), p_row, np.array([shifts, [0.0, 0.0]]))
    first = information_bits(0.1, [0.9, 0.1], [-shifts[1] / 2, shifts[1] / 2])
    second = information_bits(0.1, [0.5, 0.3, 0.2], [-shifts.sum(), *shifts])
    assert gains == pytest.approx([first, second], rel=1e-6)


def test_outcomes_that_cannot_occur_tell_nothing() -> None:
    outcomes = list_outcomes([Reading(np.array([1.0, 0.0]), (0,), np.array([[-1.0, 1.0]]))])
    for p in (0.0, 1.0, 1e-200):
        gains = outcomes.gains(np.array([0.3]), outcomes.probabilities(np.array([p])), np.array([[1e-18]]))
        assert gains[0] == 0.0
