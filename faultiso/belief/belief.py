"""Belief: what the readings so far say. Everything is computed when first asked for, and kept."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, islice

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.belief.diagnoses import Diagnosis, Listed, best_first, evaluate, posterior_of_sets
from faultiso.belief.evidence import Reading
from faultiso.belief.prospects import Prospect, prospects
from faultiso.belief.scene import Folded, SceneMaker
from faultiso.belief.scene_belief import Left, SceneBelief
from faultiso.belief.value import OpenSign, SignValue, open_signs
from faultiso.engine.plan import DEFAULT_LIMIT
from faultiso.model.effort import Standing
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.network.builder import CONSTANT
from faultiso.network.ground import Grounding
from faultiso.network.timeline import Timeline

FIRST_SETS = 64  # fault sets evaluated at once, to begin with
MOST_SETS = 4096
MOST_LEADING = 48  # sets of faults by which unread signs are judged while planning
ENTRIES_TOGETHER = 120_000  # table entries up to which all that can be read is kept in one network
ENOUGH_UNLISTED = 1e-2  # mass of unlisted sets at which the list is long enough
CLOSELY_UNLISTED = 3e-3  # the same where bounds of information are asked for


class Belief:
    """What the readings say, of a model at a moment of a timeline.

    ``faults`` and ``components`` are posterior probabilities, highest first; ``diagnoses`` sets of faults
    present together, best first; ``unlisted`` what all other sets have together; ``none_modelled`` the
    probability that no modelled fault is present; ``reader`` who would read next (a draw of reading errors);
    ``hold`` sets of faults that are planned with however unlikely they are; ``surprise_bits`` the conflict
    among the readings (Jensen et al. 1991: positive means that they do not go together).
    """

    def __init__(
        self,
        makers: Makers,
        timeline: Timeline,
        readings: Sequence[Reading],
        standing: Standing | None = None,
        reader: int = 0,
        hold: Sequence[frozenset[str]] = (),
    ) -> None:
        self.model = makers.model
        self.timeline = timeline
        self.readings = tuple(readings)
        self.standing = standing or Standing(timeline.moments[-1].conditions)
        self.reader = reader
        self.hold = tuple(dict.fromkeys(hold))
        self._makers = makers

    # what is open: signs that can still be read

    @cached_property
    def prospects(self) -> dict[str, Prospect]:
        """Every unread indication now, and every unread check where it can be made."""
        return prospects(self.model, self.timeline, self.readings, self.standing)

    @cached_property
    def now(self) -> SceneBelief:
        """The scene of the readings alone, from which faults and sets of faults are read off."""
        return self._scene(())

    @cached_property
    def open(self) -> dict[str, OpenSign]:
        """Every unread indication and check as the leading sets see it: what planning works with."""
        return self.open_to(self.leading)

    def open_to(self, listed: Listed) -> dict[str, OpenSign]:
        """Every unread indication and check as other sets of faults see it."""
        self._refuse_contradiction()
        found: dict[str, OpenSign] = {}
        for scene in self._open_scenes:
            wanted = sorted({sign.variable for sign in scene.scene.asked.values()} - {CONSTANT})
            columns = evaluate(scene.scene, self.now.log_evidence, listed.sets, wanted)
            found.update(open_signs(tuple(scene.scene.asked.values()), columns, listed.posterior))
        return found

    def refuse_if_too_large(self) -> None:
        """TooLarge if ``open`` would take too much memory; nothing of it is computed yet."""
        _ = self.leading
        for scene in self._open_scenes:
            _ = scene.scene.plan_given_faults

    @cached_property
    def _open_scenes(self) -> tuple[SceneBelief, ...]:
        return self._together(given_faults=True)

    def _together(self, given_faults: bool) -> tuple[SceneBelief, ...]:
        """As few scenes as fit with every sign that can still be read; usually one.

        ``given_faults``: only columns in which all faults are known will be asked.
        """
        groups: dict[Timeline, list[tuple[Indication | Check, Timeline]]] = {}
        for prospect in self.prospects.values():
            groups.setdefault(prospect.timeline, []).append((prospect.sign, prospect.timeline))
        return tuple(self._split(list(groups.values()), given_faults))

    def _split(
        self, groups: list[list[tuple[Indication | Check, Timeline]]], given_faults: bool
    ) -> Iterator[SceneBelief]:
        """One scene for the groups, or for each half of them where one would grow too large."""
        asked = [sign for group in groups for sign in group]
        if len(groups) < 2:
            yield self._scene(asked)
            return
        together = self._scene(asked, ENTRIES_TOGETHER * 24)
        if together.scene.fits(given_faults):
            yield together
            return
        middle = len(groups) // 2
        yield from self._split(groups[:middle], given_faults)
        yield from self._split(groups[middle:], given_faults)

    def _scene(
        self, asked: Sequence[tuple[Indication | Check, Timeline]], limit: int | None = None
    ) -> SceneBelief:
        bytes_allowed = min(limit or self._makers.memory, self._makers.memory)
        scene = self._makers.full.scene(self.timeline, self.readings, asked, bytes_allowed, self.reader)
        return SceneBelief(scene)

    def scene_of_indications(self, conditions: Mapping[str, str]) -> SceneBelief:
        """The scene in which every indication is asked about in other conditions than the present ones."""
        then = self.timeline.then(conditions)
        asked = [(indication, then) for indication in self.model.indications.values()]
        return self._scene(asked)

    def chances_of(self, signs: Sequence[str]) -> dict[str, dict[str, float]]:
        """P(outcome | readings) of some unread signs, with no more than these in the network."""
        self._refuse_contradiction()
        asked = [(self.prospects[name].sign, self.prospects[name].timeline) for name in signs]
        scene = self._scene(asked)
        found = {}
        for item in scene.scene.asked.values():
            states = (
                np.ones(1) if item.variable == CONSTANT else scene.propagation.marginal(item.variable)[:, 0]
            )
            found[item.name] = dict(zip(item.outcomes, (states @ item.chances).tolist(), strict=True))
        return found

    # faults and sets of faults

    @property
    def possible(self) -> bool:
        """False if the readings contradict each other: P(readings) is zero."""
        return self.now.possible

    @cached_property
    def faults(self) -> dict[str, float]:
        self._refuse_contradiction()
        return dict(sorted(self.now.posteriors.items(), key=lambda item: -item[1]))

    def prior_of(self, fault: str) -> float:
        """P(fault present now) before any reading."""
        return self._makers.full.prior(fault, self.timeline)

    @cached_property
    def components(self) -> dict[str, float]:
        """P(some fault of the component is present | readings), highest first."""
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
    def _first(self) -> Listed:
        """The first sets, one batch: enough to plan with."""
        return self._evaluated(Listed((), np.zeros(0)), 1.0)

    @cached_property
    def listed(self) -> Listed:
        """Sets of faults evaluated exactly, best first by the faults' posteriors, until little is left."""
        return self._evaluated(self._first, ENOUGH_UNLISTED)

    @cached_property
    def listed_closely(self) -> Listed:
        """The same with more sets, so that bounds of information are close."""
        return self._evaluated(self.listed, CLOSELY_UNLISTED)

    def _evaluated(self, before: Listed, enough: float) -> Listed:
        """More sets, until no more than ``enough`` probability is left unlisted."""
        sets, posterior = list(before.sets), before.posterior
        order = islice(self._candidates(), len(sets), None)
        while not sets or (len(sets) < MOST_SETS and 1.0 - posterior.sum() > enough):
            more = list(islice(order, FIRST_SETS if not sets else 3 * len(sets)))
            if not more:
                break
            columns = self.now.columns(more)
            sets += more
            chances = posterior_of_sets(self.now.scene, columns, more)
            posterior = np.concatenate([posterior, chances])
        return Listed(tuple(sets), posterior)

    @cached_property
    def leading(self) -> Listed:
        """The likeliest of the first sets and those held, best first: those that are planned with."""
        known = self._with_held(self._first)
        order = np.argsort(-known.posterior, kind="stable")
        order = order[known.posterior[order] > 0]
        held = [i for i in order if known.sets[i] in self.hold]
        free = [i for i in order if known.sets[i] not in self.hold][: max(0, MOST_LEADING - len(held))]
        kept = sorted((*held, *free), key=order.tolist().index)
        return Listed(tuple(known.sets[i] for i in kept), known.posterior[kept])

    def _with_held(self, listed: Listed) -> Listed:
        """The listed sets and those that are held, each exactly."""
        more = [chosen for chosen in self.hold if chosen not in listed.sets]
        if not more:
            return listed
        chances = posterior_of_sets(self.now.scene, self.now.columns(more), more)
        return Listed((*listed.sets, *more), np.concatenate([listed.posterior, chances]))

    @property
    def leaders(self) -> tuple[Diagnosis, ...]:
        """The leading sets of faults, best first; ``diagnoses`` has more of them and takes longer."""
        pairs = zip(self.leading.sets, self.leading.posterior.tolist(), strict=True)
        return tuple(Diagnosis(tuple(sorted(chosen)), p) for chosen, p in pairs)

    def _candidates(self) -> Iterator[frozenset[str]]:
        if not self.model.one_fault:
            return best_first(self.faults)
        alone = [frozenset[str](), *(frozenset((name,)) for name in self.faults)]
        work = [work for moment in self.timeline.moments for work in moment.before]
        if not any(done.may_leave for done in work):
            return iter(alone)
        known = set(alone)  # what work leaves behind may be there besides the one fault
        return chain(alone, (chosen for chosen in best_first(self.faults) if chosen not in known))

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
    def certified(self) -> int:
        """How many of the diagnoses surely come first in this order: no unlisted set can be likelier."""
        return sum(diagnosis.probability > self.unlisted for diagnosis in self.diagnoses)

    @cached_property
    def none_modelled(self) -> float:
        """Probability that no modelled fault is present."""
        found = next((d.probability for d in self.leaders if not d.faults), None)
        if found is None:
            found = next((d.probability for d in self.diagnoses if not d.faults), 0.0)
        return found

    @property
    def limitation(self) -> str:
        """What is done instead where one exact pass would not fit into memory; empty if it does."""
        told = len(self.now.scene.compiled.fitting.given)
        if not told:
            return ""
        return f"too large for one pass: {told} quantities are told in turn; the answer is exact, but slower"

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
        """P(some unmodelled cause, misreading or reading error is active | readings).

        A reading that another person took again and found otherwise is a slip that was settled: it is not
        held against the readings that stand.
        """
        self._refuse_contradiction()
        makers = self._makers
        if slips := self._slips():
            stand = [reading for place, reading in enumerate(self.readings) if place not in slips]
            return Belief(makers, self.timeline, stand, self.standing, self.reader).unexplained
        clean = makers.clean.log_evidence(self.timeline, self.readings, makers.memory)
        explained = self.now.scene.quiet * math.exp(clean - self.now.log_evidence)
        return max(0.0, 1.0 - explained)

    def _slips(self) -> set[int]:
        """Places of plain readings of which a later draw of the very same thing shows another outcome."""
        last: dict[object, Folded] = {}
        slips: set[int] = set()

        def when(item: Folded) -> tuple[int, int]:
            reading = self.readings[item.readings[-1]]
            return reading.moment, reading.draw

        for item in sorted(self.now.scene.folded, key=when):
            earlier = last.get(item.same)
            if earlier is not None and (earlier.of_outcome * item.of_outcome).max() == 0:
                slips.update(earlier.readings)
            last[item.same] = item
        return slips

    @cached_property
    def doubts(self) -> tuple[tuple[Reading, float], ...]:
        """Each reading with P(it is a misreading or a reading error | all), the most doubtful first."""
        self._refuse_contradiction()
        chances = self.now.chance_of_error()
        pairs = [
            (self.readings[item.readings[-1]], chance)
            for item, chance in zip(self.now.scene.folded, chances, strict=True)
        ]
        return tuple(sorted(pairs, key=lambda pair: -pair[1]))

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
        return tuple(reading for i in needed for reading in self._told(self.now.scene.folded[i]))

    def _told(self, item: Folded) -> tuple[Reading, ...]:
        """The latest reading behind a folded one; where the answers exclude each other, one of each."""
        readings = [self.readings[number] for number in item.readings]
        if item.of_outcome.any():
            return (readings[-1],)
        return tuple({reading.outcome: reading for reading in readings if reading.hard}.values())

    def _refuse_contradiction(self) -> None:
        if not self.possible:
            names = "; ".join(str(reading) for reading in self.contradiction)
            raise Contradiction(f"these readings cannot all be right: {names}", self.contradiction)

    # the value of what can be read

    @cached_property
    def values(self) -> dict[str, SignValue]:
        """The exact value of every unread indication and check; takes longer than ``open``."""
        self._refuse_contradiction()
        found: dict[str, SignValue] = {}
        for scene in self._together(given_faults=False):
            found.update(scene.values(self.listed_closely))
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

    def __init__(self, model: Model, memory: int = DEFAULT_LIMIT) -> None:
        self.model = model
        self.memory = memory
        self.full = SceneMaker(Grounding(model))

    @cached_property
    def clean(self) -> SceneMaker:
        return SceneMaker(Grounding(self.model, clean=True))
