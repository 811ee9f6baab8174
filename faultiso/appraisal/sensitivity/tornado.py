"""Each number of a model at a low and a high end: what becomes of the leading fault and the minutes ahead."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np

from faultiso.appraisal.clock import Limit
from faultiso.appraisal.sensitivity.function import Evaluation, Ratio, ratio
from faultiso.appraisal.sensitivity.parameters import Parameter, argument, changed, parameters, value_of
from faultiso.appraisal.sensitivity.swings import End, Swing, Tornado
from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner
from faultiso.language.dependence import ancestors, parents
from faultiso.model.system import Model
from faultiso.network.network import Array
from faultiso.planning.advice import Advisor

FACTOR = 3.0  # rates are good to a factor of three at best; of chances the odds
SECONDS = 60.0
FELT = 5e-4  # difference of a posterior below which a number does not matter
BELIEVED = 0.02  # posterior from which on a fault's changes count
MOST_MINUTES = 24  # numbers of which the minutes are worked out, those that move the ranking most

Tell = Callable[[str, int, int], None]


def tornado(
    belief: Belief,
    factor: float = FACTOR,
    seconds: float = SECONDS,
    tell: Tell = lambda what, done, of: None,
    limit: Limit | None = None,
) -> Tornado:
    """Turn each number that the readings hang on, and then the minutes by those that move most and by the
    errors of the checks that could be made next, until the time is up."""
    work = _Work(belief, factor, limit or Limit(seconds))
    relevant = relevant_to(belief)
    swings, left = work.swings(relevant, tell)
    found = [swing for swing in swings if swing.moves >= FELT]
    checks = [swing for swing in swings if swing.moves < FELT and swing.parameter.of in work.next_checks]
    timed = work.with_minutes([*found[:MOST_MINUTES], *checks], tell)
    kept = (*timed[: len(found[:MOST_MINUTES])], *found[MOST_MINUTES:])
    more = tuple(swing for swing in timed[len(found[:MOST_MINUTES]) :] if swing.minutes_span > 0)
    return Tornado(
        belief=belief,
        factor=factor,
        leader=work.leader,
        posterior=belief.faults[work.leader],
        minutes=work.minutes,
        swings=(*kept, *more),
        still=len(list(parameters(belief.model))) - len(kept) - len(more) - len(left),
        left=left,
    )


def relevant_to(belief: Belief) -> tuple[Parameter, ...]:
    """The numbers on which the belief may hang, and the errors of checks; the others cannot matter for it."""
    model = belief.model
    seen = {reading.sign for reading in belief.readings}
    above = ancestors(seen, parents(model)) | seen
    return tuple(p for p in parameters(model) if _matters(p, above, model))


def _matters(parameter: Parameter, above: set[str], model: Model) -> bool:
    if parameter.is_rate:
        return model.one_fault or parameter.of in above
    return parameter.of in above or parameter.kind in ("miss", "false alarm")


class _Work:
    """The belief again with changed models; ``names``: the faults, in the order of all arrays."""

    def __init__(self, belief: Belief, factor: float, limit: Limit) -> None:
        self.belief, self.factor, self.limit = belief, factor, limit
        self.names = tuple(belief.model.faults)
        self.leader = next(iter(belief.faults))
        self.now = self._evaluated(belief, 0.0)
        advice = Advisor(belief).advise()
        self.minutes = _ahead(belief)
        self.next_checks = {action.name for action in advice.actions[:6]} & set(belief.model.checks)
        self.read = [reading.sign for reading in belief.readings]

    def swings(self, chosen: Sequence[Parameter], tell: Tell) -> tuple[list[Swing], tuple[Parameter, ...]]:
        """One swing for each number, the greatest first, and the numbers that were left."""
        found: list[Swing] = []
        for number, parameter in enumerate(chosen):
            if self.limit.up:
                return _sorted(found), tuple(chosen[number:])
            found.append(self._swing(parameter))
            tell("numbers", number + 1, len(chosen))
        return _sorted(found), ()

    def with_minutes(self, swings: Sequence[Swing], tell: Tell) -> list[Swing]:
        """The same with minutes, as far as the time goes."""
        found = []
        for number, swing in enumerate(swings):
            found.append(swing if self.limit.up else self._timed(swing))
            tell("minutes", number + 1, len(swings))
        return found

    def _timed(self, swing: Swing) -> Swing:
        low, high = (
            replace(end, minutes=_ahead(self._believed(swing.parameter, end.value)))
            for end in (swing.low, swing.high)
        )
        return replace(swing, low=low, high=high)

    def _swing(self, parameter: Parameter) -> Swing:
        low, high = parameter.times(1.0 / self.factor), parameter.times(self.factor)
        if parameter.kind in ("miss", "false alarm") and parameter.of not in self.read:
            here = self._end(parameter.value, self.now.posterior)
            return Swing(parameter, replace(here, value=low), replace(here, value=high), 0.0)
        above = self._evaluated(self._believed(parameter, high), self._x(parameter, high))
        now = replace(self.now, at=self._x(parameter, parameter.value))
        if is_linear(self.belief, parameter):
            function: Ratio | None = ratio(now, above)
            below = function.at(self._x(parameter, low)) if function else self.now.posterior
        else:
            function = None
            below = self._evaluated(self._believed(parameter, low), 0.0).posterior
        place = self.names.index(self.leader)
        return Swing(
            parameter,
            self._end(low, below),
            self._end(high, above.posterior),
            max(self._moved(end) for end in (below, above.posterior)),
            float(function.derivative(now.at)[place]) if function else None,
            self._turns(parameter, function) if function else None,
        )

    def _moved(self, posterior: Array) -> float:
        """The greatest change of a fault that is believed in, now or then."""
        believed = np.maximum(posterior, self.now.posterior) >= BELIEVED
        return float((np.abs(posterior - self.now.posterior) * believed).max())

    def _x(self, parameter: Parameter, value: float) -> float:
        return argument(self.belief.model, parameter, value)

    def _end(self, value: float, posterior: Array) -> End:
        first = int(posterior.argmax())
        return End(value, float(posterior[self.names.index(self.leader)]), self.names[first])

    def _turns(self, parameter: Parameter, function: Ratio) -> float | None:
        """The value nearest to the present one at which another fault draws level with the leader, if it lies
        within the factor twice over."""
        now, place = self._x(parameter, parameter.value), self.names.index(self.leader)
        at = [function.equal(place, other) for other in range(len(self.names)) if other != place]
        inside = [x for x in at if x is not None and 0.0 < x < 1.0]
        if not inside:
            return None
        nearest = min(inside, key=lambda x: abs(math.log(x / now)))
        value = value_of(self.belief.model, parameter, nearest)
        far = self.factor**2
        return value if parameter.times(1.0 / far) <= value <= parameter.times(far) else None

    def _believed(self, parameter: Parameter, value: float) -> Belief:
        reasoner = Reasoner(changed(self.belief.model, parameter, value))
        belief = self.belief
        return reasoner.belief(belief.timeline, belief.readings, belief.standing, belief.reader)

    def _evaluated(self, belief: Belief, at: float) -> Evaluation:
        scale = belief.now.log_evidence - self.belief.now.log_evidence
        return Evaluation(at, np.array([belief.now.posteriors[n] for n in self.names]), math.exp(scale))


def _ahead(belief: Belief) -> float:
    """Expected minutes by the best next action."""
    return min(a.expected_minutes for a in Advisor(belief).advise().actions if a.kind != "read again")


def _sorted(swings: Iterable[Swing]) -> list[Swing]:
    return sorted(swings, key=lambda swing: (-swing.span, -swing.moves, swing.parameter.label))


def is_linear(belief: Belief, parameter: Parameter) -> bool:
    """Whether the readings hang on the number once only, so that their chance is linear in it."""
    if parameter.kind in ("misread", "miss", "false alarm"):
        return sum(reading.sign == parameter.of for reading in belief.readings) == 1
    if parameter.kind == "share":
        return len(belief.timeline.moments) == 1
    if parameter.kind == "strength":
        cause = belief.model.quantities[parameter.of].causes[int(parameter.place[0])]
        return sum(len(response.gives) for response in cause.responses) == 1
    return True
