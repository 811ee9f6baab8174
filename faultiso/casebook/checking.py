"""Whether a case can be worked: its complaint, its pins and its end against what the model says."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from faultiso.base.problems import Problem, TooLarge
from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.alike import alike
from faultiso.casebook.case import Case
from faultiso.casebook.chances import Given, chance_of_set
from faultiso.casebook.complaint import Complaint, complaint, with_pins
from faultiso.casebook.repairing import Stuck, Way, way_out
from faultiso.model.effort import Standing, effort
from faultiso.model.system import Model
from faultiso.planning.advice import UNEXPLAINED

LEAST_CHANCE = 1e-4  # P(complaint | truth) below which a complaint does not come of the truth
IMPROBABLE = 0.01  # chance of a pin below which its author is asked to look again
IMPOSSIBLE = 1e-9


@dataclass(frozen=True)
class Findings:
    """What is stated of a case. Chances are exact.

    ``complaint_given_truth``: P(the reports | exactly these faults); ``truth_given_complaint``: the other way
    round; ``rank``: the place of the truth among the explanations of the complaint (``rank_is_exact``: no
    unlisted one can come before it). ``alike``: sets of faults that nothing tells from the truth. ``pins``:
    P(pin | truth, complaint), each alone. ``unexplained``: P(something unmodelled or misread | complaint and
    pins). ``way``: the repairs to the end, where it takes some.
    """

    complaint_given_truth: float
    truth_given_complaint: float
    rank: int
    rank_is_exact: bool
    alike: tuple[tuple[str, ...], ...]
    pins: tuple[float, ...]
    unexplained: float
    way: Way | None


@dataclass(frozen=True)
class Checked:
    """``findings`` is None where the reports contradict each other, or are too much to reason about."""

    findings: Findings | None
    problems: tuple[Problem, ...]


def check_case(case: Case, model: Model, reasoner: Reasoner | None = None) -> Checked:
    """Judge a case that was read without an error; a ``reasoner`` of its model spares compiling it again."""
    numbers = Numbers(case, model, reasoner or Reasoner(model))
    try:
        if not numbers.belief.possible:
            names = "; ".join(str(reading) for reading in numbers.belief.contradiction)
            message = f"these reports cannot all be right: {names}"
            return Checked(None, (Problem("contradiction", case.place("seen"), message),))
        problems = [problem for judge in _JUDGES for problem in judge(numbers)]
        findings = numbers.findings()
    except TooLarge as error:
        return Checked(None, (Problem("size", case.place("seen"), str(error)),))
    return Checked(findings, tuple(sorted(problems, key=lambda problem: problem.where)))


class Numbers:
    """What is computed of one case, each when it is first asked for."""

    def __init__(self, case: Case, model: Model, reasoner: Reasoner) -> None:
        self.case = case
        self.model = model
        self.reasoner = reasoner
        self.told: Complaint = complaint(case, model)
        self.now = Standing(self.told.timeline.moments[-1].conditions)

    @cached_property
    def belief(self) -> Belief:
        return self.reasoner.belief(self.told.timeline, self.told.readings)

    @cached_property
    def log_complaint(self) -> float:
        given = Given(self.reasoner, self.case.truth, self.told.timeline)
        return given.log_chance(self.told.readings)

    @cached_property
    def pins(self) -> tuple[tuple[float, float], ...]:
        """Of each pin P(pin | truth, complaint): alone, and after the pins before it."""
        if self.log_complaint == -math.inf:
            return ()
        timeline, pinned = with_pins(self.case, self.model, self.told)
        given = Given(self.reasoner, self.case.truth, timeline)
        before, log_before, found = self.told.readings, self.log_complaint, []
        for readings in pinned:
            alone = given.log_chance((*self.told.readings, *readings)) - self.log_complaint
            before = (*before, *readings)
            log_after = given.log_chance(before)
            found.append((math.exp(alone), math.exp(log_after - max(log_before, -1e300))))
            log_before = log_after
        return tuple(found)

    @cached_property
    def unexplained(self) -> float:
        """P(something unmodelled or misread | complaint and pins)."""
        timeline, pinned = with_pins(self.case, self.model, self.told)
        readings = (*self.told.readings, *(reading for pin in pinned for reading in pin))
        belief = self.reasoner.belief(timeline, readings)
        return belief.unexplained if belief.possible else 1.0

    @cached_property
    def way(self) -> Way | Stuck | None:
        """Repairs to the right end, where it is one that takes repairs."""
        return way_out(self.model, self.case.truth, self.now) if self.case.right_end == "rectified" else None

    def findings(self) -> Findings:
        truth = chance_of_set(self.belief, self.case.truth)
        better = [d for d in self.belief.diagnoses if d.probability > truth * (1 + 1e-9)]
        return Findings(
            complaint_given_truth=math.exp(self.log_complaint),
            truth_given_complaint=truth,
            rank=len(better) + 1,
            rank_is_exact=truth > self.belief.unlisted,
            alike=alike(self.reasoner, self.told, self.case.truth),
            pins=tuple(alone for alone, _ in self.pins),
            unexplained=self.unexplained,
            way=self.way if isinstance(self.way, Way) else None,
        )


def _of_complaint(numbers: Numbers) -> Iterator[Problem]:
    """A complaint that the truth would hardly ever give."""
    chance = math.exp(numbers.log_complaint)
    if chance < LEAST_CHANCE and not numbers.case.beyond_model:
        message = (
            f"P(complaint | truth) is {chance:.2g}; expected at least {LEAST_CHANCE:g}: with this truth the "
            "system would hardly ever show what is reported"
        )
        yield Problem("complaint", numbers.case.place("seen"), message)


def _of_the_model(numbers: Numbers) -> Iterator[Problem]:
    """What is read must look unexplained where it lies beyond the model, and nowhere else."""
    case, chance = numbers.case, numbers.unexplained
    if case.beyond_model and chance <= UNEXPLAINED:
        message = (
            f"the model explains all that is read: P(something unmodelled | all) is {chance:.2g}; "
            f"expected more than {UNEXPLAINED:g}, by reports or pins that it cannot explain"
        )
        yield Problem("beyond_model", case.place("beyond_model"), message)
    if not case.beyond_model and chance > UNEXPLAINED:
        message = (
            "whoever works it is told at once that something is misread or not in the model: P is "
            f"{chance:.2g}; expected at most {UNEXPLAINED:g}, say by a second report of the same"
        )
        yield Problem("unexplained", case.place("seen"), message, severity="warning")


def _of_pins(numbers: Numbers) -> Iterator[Problem]:
    """Pins that are impossible, an error unless beyond the model, or improbable."""
    if numbers.case.beyond_model:
        return
    for number, (alone, after) in enumerate(numbers.pins):
        chance = min(alone, after)
        where = numbers.case.place("pins", number)
        given = "the truth and the complaint" + ("" if chance == alone else ", and the pins before it")
        if chance < IMPOSSIBLE:
            yield Problem("pin", where, f"this pin is impossible, given {given}; or say beyond_model: yes")
        elif chance < IMPROBABLE:
            message = f"this pin is improbable: {chance:.2g}, given {given}"
            yield Problem("pin", where, message, severity="warning")


def _of_end(numbers: Numbers) -> Iterator[Problem]:
    """A right end, or a check of the prescribed order, that cannot be reached from now."""
    case, model = numbers.case, numbers.model
    if isinstance(numbers.way, Stuck):
        message = f"from where things stand now the right end cannot be reached: {numbers.way.reason}"
        yield Problem("solvable", case.place("now"), message)
    standing = numbers.now
    for number, name in enumerate(case.prescribed_order):
        work = effort(model, model.checks[name].work, standing)
        if work is None:
            message = f'"{name}" cannot be made from where things stand then: its needs cannot be met'
            yield Problem("solvable", case.place("prescribed_order", number), message)
        else:
            standing = work.standing


_JUDGES = (_of_complaint, _of_the_model, _of_pins, _of_end)
