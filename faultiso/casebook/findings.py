"""What is computed of one case, each thing when it is first asked for, and what is stated of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.alike import alike
from faultiso.casebook.case import Case
from faultiso.casebook.chances import Given, chance_of_set
from faultiso.casebook.complaint import Complaint, complaint, with_pins
from faultiso.casebook.difficulty import Difficulty, difficulty
from faultiso.casebook.repairing import Stuck, Way, way_out
from faultiso.model.effort import Standing
from faultiso.model.system import Model


@dataclass(frozen=True)
class Findings:
    """What is stated of a case. Chances are exact.

    ``complaint_given_truth``: P(the reports | exactly these faults); ``truth_given_complaint``: the other way
    round; ``rank``: the place of the truth among the explanations of the complaint (``rank_is_exact``: no
    unlisted one can come before it). ``alike``: sets of faults that nothing tells from the truth. ``pins``:
    P(pin | truth, complaint), each alone. ``unexplained``: P(something unmodelled or misread | complaint and
    pins). ``way``: the repairs to the end, where it takes some. ``difficulty``: None where nothing
    can be planned.
    """

    complaint_given_truth: float
    truth_given_complaint: float
    rank: int
    rank_is_exact: bool
    alike: tuple[tuple[str, ...], ...]
    pins: tuple[float, ...]
    unexplained: float
    way: Way | None
    difficulty: Difficulty | None = None


class Numbers:
    """What is computed of one case, each when it is first asked for.

    ``found``: its difficulty, if that is known but for what stays alike.
    """

    def __init__(self, case: Case, model: Model, reasoner: Reasoner, found: Difficulty | None = None) -> None:
        self.case = case
        self._found = found
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

    @cached_property
    def alike(self) -> tuple[tuple[str, ...], ...]:
        return alike(self.reasoner, self.told, self.case.truth)

    @cached_property
    def difficulty(self) -> Difficulty | None:
        if self.log_complaint == -math.inf:
            return None
        if self._found is not None:
            return replace(self._found, alike=len(self.alike))
        return difficulty(self.case, self.reasoner, self.told, len(self.alike))

    def findings(self) -> Findings:
        truth = chance_of_set(self.belief, self.case.truth)
        better = [d for d in self.belief.diagnoses if d.probability > truth * (1 + 1e-9)]
        return Findings(
            complaint_given_truth=math.exp(self.log_complaint),
            truth_given_complaint=truth,
            rank=len(better) + 1,
            rank_is_exact=truth > self.belief.unlisted,
            alike=self.alike,
            pins=tuple(alone for alone, _ in self.pins),
            unexplained=self.unexplained,
            way=self.way if isinstance(self.way, Way) else None,
            difficulty=self.difficulty,
        )
