"""What an instrument does to a number: how far it scatters, and in which steps it can be read."""

from __future__ import annotations

import math

from faultiso.model.parts import Check, Indication


def scatter(sign: Indication | Check) -> float:
    """One standard deviation of a reading of a sign with ranges, in its unit.

    The stated tolerance is two standard deviations; where none is stated, a hundredth of all that is shown.
    """
    return sign.tolerance / 2 or _span(sign) / 200


def step(sign: Indication | Check) -> float:
    """What the last figure that can be read counts: 1, 2 or 5 of a power of ten, within the scatter."""
    exponent = math.floor(math.log10(scatter(sign)))
    in_tens = scatter(sign) / float(f"1e{exponent}")
    return float(f"{max(n for n in (1, 2, 5) if n <= in_tens or n == 1)}e{exponent}")


def _span(sign: Indication | Check) -> float:
    bounds = sign.ranges.values()
    return max(high for _, high in bounds) - min(low for low, _ in bounds) or 1.0
