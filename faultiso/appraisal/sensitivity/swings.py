"""What becomes of a conclusion when one number is turned: ends, swings, all of them together."""

from __future__ import annotations

from dataclasses import dataclass, field

from faultiso.appraisal.sensitivity.parameters import Parameter
from faultiso.belief.belief import Belief


@dataclass(frozen=True)
class End:
    """With the number at ``value``: P(the fault that leads now), who leads then, and the minutes ahead (None
    if they were not worked out)."""

    value: float
    leader: float
    leads: str
    minutes: float | None = None


@dataclass(frozen=True)
class Swing:
    """One number between its ends. ``moves``: the greatest change at either end of a fault believed in.

    ``slope``: derivative of the leading fault's posterior by the number (of a rate: by the prior of its
    fault); ``turns``: the value from which on another fault leads; None where the function is not known.
    """

    parameter: Parameter
    low: End
    high: End
    moves: float
    slope: float | None = None
    turns: float | None = None

    @property
    def span(self) -> float:
        """Between the ends: how far the leading fault moves."""
        return abs(self.high.leader - self.low.leader)

    @property
    def minutes_span(self) -> float:
        if self.low.minutes is None or self.high.minutes is None:
            return 0.0
        return abs(self.high.minutes - self.low.minutes)


@dataclass(frozen=True, eq=False)
class Tornado:
    """``leader``: the fault that leads, with its posterior; ``minutes`` ahead by the best next action;
    ``swings``: the numbers that matter, those that move the leader most first; ``still``: how many do not
    matter; ``left``: numbers for which the time was too short."""

    belief: Belief = field(repr=False)
    factor: float
    leader: str
    posterior: float
    minutes: float
    swings: tuple[Swing, ...]
    still: int
    left: tuple[Parameter, ...]

    @property
    def by_minutes(self) -> tuple[Swing, ...]:
        """Those with minutes that differ, the most first."""
        felt = [swing for swing in self.swings if swing.minutes_span >= 0.05]
        return tuple(sorted(felt, key=lambda swing: (-swing.minutes_span, swing.parameter.label)))

    @property
    def without_minutes(self) -> int:
        return sum(swing.low.minutes is None for swing in self.swings)
