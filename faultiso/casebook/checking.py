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
from faultiso.model.effort import Standing
from faultiso.model.system import Model

LEAST_CHANCE = 1e-4  # P(complaint | truth) below which a complaint does not come of the truth
IMPROBABLE = 0.01  # chance of a pin below which its author is asked to look again
IMPOSSIBLE = 1e-9
UNEXPLAINED = 0.5  # from here on the person at work is told to stop and refer


@dataclass(frozen=True)
class Findings:
    """What is stated of a case. Chances are exact.

    ``complaint_given_truth``: P(the reports | exactly these faults); ``truth_given_complaint``: the other way
    round; ``rank``: how many explanations are at least as probable, the truth included (``rank_is_exact``:
    no unlisted one can come before it). ``alike``: sets of faults that nothing tells from the truth. ``pins``:
    P(pin | truth, complaint), each alone. ``unexplained``: P(something unmodelled or misread | all readings).
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
    """Judge a case that was read without an error; ``reasoner`` spares compiling the model again."""
    try:
        return _Judgement(case, model, reasoner or Reasoner(model)).whole()
    except TooLarge as error:
        return Checked(None, (Problem("size", case.place("seen"), str(error)),))


class _Judgement:
    def __init__(self, case: Case, model: Model, reasoner: Reasoner) -> None:
        self.case = case
        self.model = model
        self.reasoner = reasoner

    @cached_property
    def told(self) -> Complaint:
        return complaint(self.case, self.model)

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
        given, before, log_before, found = Given(self.reasoner, self.case.truth, timeline), self.told.readings, self.log_complaint, []
        for readings in pinned:
            alone = given.log_chance((*self.told.readings, *readings)) - self.log_complaint
            log_after = given.log_chance((*before, *readings))
            found.append((math.exp(alone), math.exp(log_after - log_before) if log_before > -math.inf else 0.0))
            before, log_before = (*before, *readings), log_after
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
        if self.case.right_end != "rectified":
            return None
        now = Standing(self.told.timeline.moments[-1].conditions)
        return way_out(self.model, self.case.truth, now)

    def whole(self) -> Checked:
        if not self.belief.possible:
            names = "; ".join(str(reading) for reading in self.belief.contradiction)
            message = f"these reports cannot all be right: {names}"
            return Checked(None, (Problem("contradiction", self.case.place("seen"), message),))
        problems = (*self.of_complaint(), *self.of_pins(), *self.of_end())
        return Checked(self.findings(), tuple(sorted(problems, key=lambda problem: problem.where)))

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

    def of_complaint(self) -> Iterator[Problem]:
        chance = math.exp(self.log_complaint)
        if chance < LEAST_CHANCE and not self.case.beyond_model:
            message = (
                f"P(complaint | truth) is {chance:.2g}; expected at least {LEAST_CHANCE:g}: with this truth the "
                "system would hardly ever show what is reported"
            )
            yield Problem("complaint", self.case.place("seen"), message)
        if self.case.beyond_model and self.unexplained <= UNEXPLAINED:
            message = (
                f"the model explains all that is read: P(something unmodelled | all) is {self.unexplained:.2g}; "
                f"expected more than {UNEXPLAINED:g}, by reports or pins that it cannot explain"
            )
            yield Problem("beyond_model", self.case.place("beyond_model"), message)

    def of_pins(self) -> Iterator[Problem]:
        for number, (alone, after) in enumerate(self.pins):
            chance = min(alone, after)
            if chance >= IMPROBABLE or self.case.beyond_model:
                continue
            where = self.case.place("pins", number)
            together = "" if chance == alone else " after the pins before it"
            if chance < IMPOSSIBLE:
                message = f"this pin is impossible{together}, given the truth and the complaint; or say beyond_model: yes"
                yield Problem("pin", where, message)
            else:
                message = f"this pin is improbable{together}: {chance:.2g}, given the truth and the complaint"
                yield Problem("pin", where, message, severity="warning")

    def of_end(self) -> Iterator[Problem]:
        if isinstance(self.way, Stuck):
            message = f"from where things stand now the right end cannot be reached: {self.way.reason}"
            yield Problem("solvable", self.case.place("now"), message)
