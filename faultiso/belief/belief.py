"""Belief: what the readings so far say. Everything is computed when first asked for, and kept."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.belief.diagnoses import Columns, Diagnosis, Listed, best_first, evaluate, posterior_of_sets
from faultiso.belief.evidence import Reading
from faultiso.belief.prospects import Prospect, prospects
from faultiso.belief.scene import FaultAt, Folded, Scene, SceneMaker
from faultiso.belief.value import SignValue, gain_bounds, marginal_gains, outcomes_given_sets
from faultiso.engine.propagate import Propagation, propagate
from faultiso.model.effort import Standing
from faultiso.model.system import Model
from faultiso.network.builder import CONSTANT
from faultiso.network.ground import Grounding
from faultiso.network.network import Array
from faultiso.network.timeline import Timeline

FIRST_SETS = 128  # fault sets evaluated at once, to begin with
MOST_SETS = 4096
ENOUGH_UNLISTED = 2e-3  # mass of unlisted sets at which the list is long enough


@dataclass(frozen=True)
class SceneBelief:
    """The numbers of one scene. All scenes of one belief agree on faults and P(readings)."""

    scene: Scene

    @cached_property
    def propagation(self) -> Propagation:
        wanted = [at.variable for at in self.scene.faults.values()]
        wanted += [asked.variable for asked in self.scene.asked.values() if asked.variable != CONSTANT]
        return propagate(self.scene.plan, self.scene.evidence(), columns=1, wanted=wanted)

    @cached_property
    def log_evidence(self) -> float:
        """Natural logarithm of P(readings); minus infinity if they contradict each other."""
        constant = self.scene.constant_weight
        if constant <= 0:
            return -math.inf
        return float(self.propagation.log_evidence[0]) + math.log(constant)

    @property
    def possible(self) -> bool:
        return self.log_evidence > -math.inf

    @cached_property
    def posteriors(self) -> dict[str, float]:
        """P(fault present | readings) of every fault."""
        found = dict(self.scene.free)
        for name, at in self.scene.faults.items():
            found[name] = float(at.present @ self.propagation.marginal(at.variable)[:, 0])
        return found

    def chance_of_none(self, faults: Mapping[str, FaultAt]) -> float:
        """P(none of the faults is present | readings), for faults of the scene."""
        likelihoods: dict[int, Array] = dict(self.scene.evidence())
        for at in faults.values():
            likelihoods[at.variable] = likelihoods.get(at.variable, 1.0) * (1.0 - at.present)
        log_joint = float(propagate(self.scene.plan, likelihoods, columns=1, wanted=()).log_evidence[0])
        return math.exp(log_joint - float(self.propagation.log_evidence[0]))

    def chance_of_each_reading(self) -> list[float]:
        """P(reading) of each folded reading on its own."""
        wanted = sorted({item.variable for item in self.scene.folded} - {CONSTANT})
        prior = propagate(self.scene.plan, {}, columns=1, wanted=wanted)
        return [
            float(item.weights[0])
            if item.variable == CONSTANT
            else float(item.weights @ prior.marginal(item.variable)[:, 0])
            for item in self.scene.folded
        ]

    def possible_with(self, kept: Sequence[int]) -> bool:
        """Whether the folded readings at these places can all be right together."""
        dropped = [i for i in range(len(self.scene.folded)) if i not in kept]
        if any(
            self.scene.folded[i].variable == CONSTANT and self.scene.folded[i].weights[0] <= 0 for i in kept
        ):
            return False
        result = propagate(self.scene.plan, self.scene.evidence(dropped), columns=1, wanted=())
        return float(result.log_evidence[0]) > -math.inf

    def leave_each_out(self) -> Left:
        """One column with all readings and one with each folded reading left out."""
        count = len(self.scene.folded)
        columns: dict[int, Array] = {}
        for variable in self.scene.evidence():
            columns[variable] = np.stack(
                [self._weights(variable, left_out) for left_out in (None, *range(count))], axis=1
            )
        wanted = [at.variable for at in self.scene.faults.values()]
        result = propagate(self.scene.plan, columns, columns=count + 1, wanted=wanted)
        log_odds = {
            name: decibans(at.present @ result.marginal(at.variable))
            for name, at in self.scene.faults.items()
        }
        free = {name: float(decibans(np.array(p))) for name, p in self.scene.free.items()}
        return Left(
            folded=self.scene.folded,
            all_readings={**free, **{name: float(row[0]) for name, row in log_odds.items()}},
            without={
                **{name: (value,) * count for name, value in free.items()},
                **{name: tuple(row[1:].tolist()) for name, row in log_odds.items()},
            },
        )

    def _weights(self, variable: int, left_out: int | None) -> Array:
        found = np.ones(self.scene.network.cards[variable])
        for place, item in enumerate(self.scene.folded):
            if item.variable == variable and place != left_out:
                found = found * item.weights
        return found

    def columns(self, sets: Sequence[frozenset[str]]) -> Columns:
        """What this scene says about each set of faults, asked signs included."""
        wanted = sorted({asked.variable for asked in self.scene.asked.values()} - {CONSTANT})
        return evaluate(self.scene, float(self.propagation.log_evidence[0]), sets, wanted)

    def values(self, listed: Listed, columns: Columns | None = None) -> dict[str, SignValue]:
        """What each asked sign is worth, by the listed sets of faults."""
        columns = columns or self.columns(listed.sets)
        marginal = marginal_gains(self.scene)
        found = {}
        for name, asked in self.scene.asked.items():
            spread = self._spread(asked.variable, asked.chances)
            given = outcomes_given_sets(asked, columns)
            found[name] = SignValue(
                name=name,
                outcomes=dict(zip(asked.outcomes, spread.tolist(), strict=True)),
                gain_bits=gain_bounds(spread, given, listed.posterior),
                gain_bits_marginal=marginal[name],
                given=given,
            )
        return found

    def _spread(self, variable: int, chances: Array) -> Array:
        if variable == CONSTANT:
            return np.asarray(chances[0])
        return np.asarray(self.propagation.marginal(variable)[:, 0] @ chances)


@dataclass(frozen=True)
class Left:
    """Log odds of each fault with all readings and with each folded reading left out, in decibans."""

    folded: tuple[Folded, ...]
    all_readings: Mapping[str, float]
    without: Mapping[str, tuple[float, ...]]


def decibans(p: Array) -> Array:
    """10 log10 of the odds (Good 1950); certainty is shown as 200."""
    inside = np.clip(p, 1e-20, 1.0)
    return np.asarray(
        np.clip(10.0 * (np.log10(inside) - np.log10(np.clip(1.0 - inside, 1e-20, 1.0))), -200.0, 200.0)
    )


class Belief:
    """What the readings say, of a model at a moment of a timeline.

    ``faults`` and ``components`` are posterior probabilities, highest first; ``diagnoses`` sets of faults
    present together, best first; ``unlisted`` what all other sets have together; ``none_modelled`` the
    probability that no modelled fault is present; ``surprise_bits`` the conflict among the readings
    (Jensen et al. 1991: positive means that they do not go together).
    """

    def __init__(
        self,
        makers: Makers,
        timeline: Timeline,
        readings: Sequence[Reading],
        standing: Standing | None = None,
    ) -> None:
        self.model = makers.model
        self.timeline = timeline
        self.readings = tuple(readings)
        self.standing = standing or Standing(timeline.moments[-1].conditions)
        self._makers = makers

    # what is open: signs that can still be read

    @cached_property
    def prospects(self) -> dict[str, Prospect]:
        """Every unread indication now, and every unread check where it can be made."""
        return prospects(self.model, self.timeline, self.readings, self.standing)

    @cached_property
    def now(self) -> SceneBelief:
        """The scene of the present conditions, with every sign that can be read in them."""
        asked = [(p.sign, p.timeline) for p in self.prospects.values() if p.timeline == self.timeline]
        return SceneBelief(self._makers.full.scene(self.timeline, self.readings, asked))

    @cached_property
    def elsewhere(self) -> tuple[SceneBelief, ...]:
        """One scene for each set of conditions that some check needs beyond the present ones."""
        groups: dict[Timeline, list[Prospect]] = {}
        for prospect in self.prospects.values():
            if prospect.timeline != self.timeline:
                groups.setdefault(prospect.timeline, []).append(prospect)
        return tuple(
            SceneBelief(
                self._makers.full.scene(self.timeline, self.readings, [(p.sign, p.timeline) for p in group])
            )
            for group in groups.values()
        )

    # faults and sets of faults

    @property
    def possible(self) -> bool:
        """False if the readings contradict each other: P(readings) is zero."""
        return self.now.possible

    @cached_property
    def faults(self) -> dict[str, float]:
        self._refuse_contradiction()
        return dict(sorted(self.now.posteriors.items(), key=lambda item: -item[1]))

    @cached_property
    def components(self) -> dict[str, float]:
        """P(some fault of the component is present), from the evaluated sets; unlisted mass counts as absent."""
        found = {}
        for name, component in self.model.components.items():
            own = [fault.name for fault in component.faults]
            if len(own) == 1:
                found[name] = self.faults[own[0]]
            elif own:
                found[name] = self._any_of(own)
        return dict(sorted(found.items(), key=lambda item: -item[1]))

    def _any_of(self, faults: Sequence[str]) -> float:
        """P(any of the faults | readings), exact: one column in which none of them is present."""
        free = float(np.prod([1.0 - self.now.scene.free[f] for f in faults if f in self.now.scene.free]))
        bound = {f: self.now.scene.faults[f] for f in faults if f in self.now.scene.faults}
        if not bound:
            return 1.0 - free
        return 1.0 - free * self.now.chance_of_none(bound)

    @cached_property
    def listed(self) -> Listed:
        """Sets of faults evaluated exactly, best first by the faults' posteriors, until little is left over."""
        order = self._candidates()
        sets: list[frozenset[str]] = []
        posterior = np.zeros(0)
        while len(sets) < MOST_SETS and 1.0 - posterior.sum() > ENOUGH_UNLISTED:
            more = list(islice(order, FIRST_SETS if not sets else 3 * len(sets)))
            if not more:
                break
            columns = self.now.columns(more)
            sets += more
            posterior = np.concatenate([posterior, posterior_of_sets(self.now.scene, columns, more)])
        return Listed(tuple(sets), posterior)

    def _candidates(self) -> Iterator[frozenset[str]]:
        if self.model.one_fault:
            return iter([frozenset[str](), *(frozenset((name,)) for name in self.faults)])
        return best_first(self.faults)

    @cached_property
    def diagnoses(self) -> tuple[Diagnosis, ...]:
        pairs = zip(self.listed.sets, self.listed.posterior.tolist(), strict=True)
        found = [Diagnosis(tuple(sorted(chosen)), p) for chosen, p in pairs if p > 0]
        return tuple(sorted(found, key=lambda d: (-d.probability, d.faults)))

    @cached_property
    def unlisted(self) -> float:
        """Probability of all sets of faults that are not among the diagnoses."""
        return self.listed.rest

    @cached_property
    def none_modelled(self) -> float:
        """Probability that no modelled fault is present."""
        return next((d.probability for d in self.diagnoses if not d.faults), 0.0)

    # how well the readings go together

    @property
    def log2_evidence(self) -> float:
        return self.now.log_evidence / math.log(2)

    @cached_property
    def surprise_bits(self) -> float:
        """log2( product of P(reading) / P(all readings) ); merged readings count once."""
        self._refuse_contradiction()
        alone = self.now.chance_of_each_reading()
        return sum(math.log2(p) for p in alone) - self.log2_evidence

    @cached_property
    def unexplained(self) -> float:
        """P(some unmodelled cause, misreading or reading error is active | readings)."""
        self._refuse_contradiction()
        clean = SceneBelief(self._makers.clean.scene(self.timeline, self.readings))
        if not clean.possible:
            return 1.0
        return max(0.0, 1.0 - math.exp(clean.log_evidence - self.now.log_evidence))

    @cached_property
    def contradiction(self) -> tuple[Reading, ...]:
        """Readings that contradict each other and of which none can be left out; empty if all is possible."""
        if self.possible:
            return ()
        needed = list(range(len(self.now.scene.folded)))
        for place in list(needed):
            fewer = [i for i in needed if i != place]
            if not self.now.possible_with(fewer):
                needed = fewer
        return tuple(self.readings[self.now.scene.folded[i].readings[0]] for i in needed)

    def _refuse_contradiction(self) -> None:
        if not self.possible:
            names = "; ".join(str(reading) for reading in self.contradiction)
            raise Contradiction(f"these readings cannot all be right: {names}", self.contradiction)

    # the value of what can be read

    @cached_property
    def values(self) -> dict[str, SignValue]:
        """The value of every unread indication and check."""
        self._refuse_contradiction()
        found: dict[str, SignValue] = {}
        for scene in (self.now, *self.elsewhere):
            found.update(scene.values(self.listed))
        return found

    def rank_checks(self) -> list[RankedCheck]:
        """The unread checks, most information about the set of faults first."""
        ranked = [
            RankedCheck(
                name=name,
                title=prospect.sign.title,
                minutes=prospect.effort.minutes,
                gain_bits=self.values[name].gain_bits,
                gain_bits_marginal=self.values[name].gain_bits_marginal,
                outcomes=self.values[name].outcomes,
            )
            for name, prospect in self.prospects.items()
            if prospect.effort is not None
        ]
        return sorted(ranked, key=lambda check: (-check.gain_bits[1], check.minutes, check.name))

    @cached_property
    def left_out(self) -> Left:
        """Each fault's log odds with each reading left out in turn (weight of evidence, Good 1950)."""
        return self.now.leave_each_out()


class Contradiction(UsageError):
    """The readings have probability zero; ``readings`` is a smallest set that cannot all be right."""

    def __init__(self, text: str, readings: tuple[Reading, ...]) -> None:
        super().__init__(text)
        self.readings = readings


@dataclass(frozen=True)
class RankedCheck:
    """One line of the ranking: minutes with what must be done first, information in bits."""

    name: str
    title: str
    minutes: float
    gain_bits: tuple[float, float]
    gain_bits_marginal: float
    outcomes: Mapping[str, float]


class Makers:
    """The scenes of one model: as it is, and with nothing unmodelled and every reading right."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.full = SceneMaker(Grounding(model))

    @cached_property
    def clean(self) -> SceneMaker:
        return SceneMaker(Grounding(self.model, leaks=False, errors=False))
