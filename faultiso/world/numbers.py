"""The number that an instrument shows for the outcome that is read."""

from __future__ import annotations

from statistics import NormalDist

from faultiso.model.instrument import scatter, step
from faultiso.model.parts import Check, Indication

_SMALLEST = 2.0**-54  # for a random number that came out as 0


def number_shown(sign: Indication | Check, outcome: str, place: float, error: float) -> float | None:
    """The number in the sign's unit; None if this outcome has no range (dashes, say).

    ``place`` and ``error``, from 0 to 1, are random numbers: the true value lies anywhere in the outcome's
    range, and is read with a normal scatter in the steps of the instrument. What is never negative is not
    shown as negative.
    """
    if outcome not in sign.ranges:
        return None
    low, high = sign.ranges[outcome]
    true = low + place * (high - low)
    read = true + scatter(sign) * NormalDist().inv_cdf(max(error, _SMALLEST))
    if all(bounds[0] >= 0 for bounds in sign.ranges.values()):
        read = max(read, 0.0)
    return float(f"{round(read / step(sign)) * step(sign):.9g}") + 0.0
