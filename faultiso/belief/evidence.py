"""What was read, as weights over the outcomes of an indication or a check."""

from __future__ import annotations

import math
from dataclasses import dataclass

from faultiso.base.problems import UsageError
from faultiso.model.instrument import scatter
from faultiso.model.parts import Check, Indication

NEGLIGIBLE = 1e-12  # beside a number inside a range; one that fits every range worse than this fits none


@dataclass(frozen=True, slots=True)
class Reading:
    """One answer: an outcome, a number in the sign's unit, or a likelihood for a doubtful reading.

    ``moment`` is the place in the timeline at which it was read; ``draw`` tells a re-read by another
    person or instrument, which draws its reading error anew, from the first one (0).
    """

    sign: str
    outcome: str = ""
    number: float | None = None
    doubtful: tuple[tuple[str, float], ...] = ()
    moment: int = 0
    draw: int = 0

    @property
    def hard(self) -> bool:
        return bool(self.outcome)

    def __str__(self) -> str:
        if self.number is not None:
            return f"{self.sign} = {self.number:g}"
        return f"{self.sign} = {self.outcome or 'doubtful'}"


def weights(reading: Reading, sign: Indication | Check) -> dict[str, float]:
    """The weight of each outcome of ``sign`` under the reading, the greatest being one.

    A number weighs a level by the density of that number for a true value anywhere in the level's range,
    read with a normal scatter of half the stated tolerance (tolerance: two standard deviations).
    """
    if reading.number is not None:
        return _number_weights(reading.number, sign)
    if reading.doubtful:
        given = dict(reading.doubtful)
        return {outcome: given.get(outcome, 0.0) for outcome in sign.outcomes}
    if reading.outcome not in sign.outcomes:
        raise UsageError(
            f"{sign.name} has no outcome {reading.outcome!r}; expected one of: {', '.join(sign.outcomes)}"
        )
    return {outcome: float(outcome == reading.outcome) for outcome in sign.outcomes}


def _number_weights(number: float, sign: Indication | Check) -> dict[str, float]:
    if not sign.ranges:
        raise UsageError(f"{sign.name} shows no number; expected one of: {', '.join(sign.outcomes)}")
    spread = scatter(sign)
    found = {outcome: _density(number, *bounds, spread) for outcome, bounds in sign.ranges.items()}
    best = max(found.values())
    inside = {outcome: 1.0 / max(high - low, spread) for outcome, (low, high) in sign.ranges.items()}
    if all(found[outcome] < NEGLIGIBLE * inside[outcome] for outcome in found):
        raise UsageError(f"{number:g} {sign.unit} fits no level of {sign.name}; {_ranges_in_words(sign)}")
    return {outcome: found.get(outcome, 0.0) / best for outcome in sign.outcomes}


def _density(number: float, low: float, high: float, spread: float) -> float:
    if high <= low:
        return math.exp(-0.5 * ((number - low) / spread) ** 2) / (spread * math.sqrt(2 * math.pi))
    middle = (low + high) / 2
    if number > middle:  # mirror, so that the difference is taken of two small tails
        number = 2 * middle - number
    scale = spread * math.sqrt(2)
    inside = 0.5 * (math.erfc((low - number) / scale) - math.erfc((high - number) / scale))
    return inside / (high - low)


def _ranges_in_words(sign: Indication | Check) -> str:
    return "expected " + ", ".join(f"{name} {low:g} to {high:g}" for name, (low, high) in sign.ranges.items())


def nearest_level(number: float, sign: Indication | Check) -> str:
    """The outcome whose range the number fits best: for people, never used as evidence."""
    found = _number_weights(number, sign)
    return max(found, key=lambda outcome: found[outcome])
