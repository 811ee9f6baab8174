"""The plan from each write-up: what it takes with each fault behind it, which checks earn their minutes.

The person at work stands at the start, has the crew's report and nothing else; the plan is the one that the
difficulty of cases is computed with, searched for fewer steps.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from faultiso.appraisal.added import MARK
from faultiso.appraisal.writeups import WriteUp
from faultiso.belief.belief import Belief
from faultiso.belief.diagnoses import Listed
from faultiso.belief.evidence import Reading
from faultiso.belief.observed import conditions_of
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.complaint import AT_WORK
from faultiso.casebook.following import Followed, Prepared
from faultiso.model.system import Model
from faultiso.network.network import Array
from faultiso.network.timeline import start
from faultiso.planning.advice import HANDLING_MINUTES
from faultiso.planning.posing import Limits, likely_sets
from faultiso.planning.sequencing.ceiling import entropy, straight_to_repair
from faultiso.planning.sequencing.problem import BadPlanningProblem

SEARCHED = 20  # steps of the search for each write-up
TELLS = 1e-3  # bits about the set of faults, below which a check saves nothing
MOST_READINGS = 6  # readings and tests that are looked at closely, those that tell most


@dataclass(frozen=True)
class Way:
    """What the plan does with one fault behind the write-up. ``taken_off``: repairs of what was good."""

    fault: str
    minutes: float
    steps: tuple[str, ...]
    end: str
    right: bool
    taken_off: tuple[str, ...]


@dataclass(frozen=True)
class Worked:
    """A write-up with its ways; ``ways`` is empty where nothing can be planned.

    ``saves``: of each check that tells something and could be made first, the minutes it saves against going
    straight to the repairs, which follow it. ``would_save``: of a reading of a quantity, or a test of one
    fault alone, the minutes it would save against the best plan that was found, if one more step is looked
    ahead after it; only those above 0.
    """

    write_up: WriteUp
    ways: tuple[Way, ...]
    saves: Mapping[str, float] = field(default_factory=dict)
    would_save: Mapping[str, float] = field(default_factory=dict)


def worked(write_up: WriteUp, reasoner: Reasoner, with_readings: Reasoner) -> Worked:
    """The plan from a write-up, followed with each of its faults; ``with_readings``: see ``added``."""
    belief = belief_after(write_up, reasoner)
    sets = [frozenset((fault,)) for fault in write_up.faults]
    try:
        plan = Prepared(belief, tuple(dict.fromkeys((*likely_sets(belief, Limits()), *sets))), SEARCHED)
    except BadPlanningProblem:
        return Worked(write_up, ())
    ways = [_way(reasoner.model, f, plan.way(one)) for f, one in zip(write_up.faults, sets, strict=True)]
    first = _signs_first(belief_after(write_up, with_readings), plan)
    straight, best = _straight(plan, plan.search.root.belief), plan.search.root.high
    telling = [step for step in first if step.bits >= TELLS and step.name in reasoner.model.checks]
    saves = {step.name: straight - step.then_repairs(plan) for step in telling}
    readings = [step for step in first if step.name.startswith(MARK)] + _faults_first(plan)
    readings.sort(key=lambda step: -step.bits)
    gains = {step.name.removeprefix(MARK): best - step.then_best(plan) for step in readings[:MOST_READINGS]}
    return Worked(write_up, tuple(ways), saves, {name: gain for name, gain in gains.items() if gain > 0})


def belief_after(write_up: WriteUp, reasoner: Reasoner) -> Belief:
    """The belief of the person at work; of a report whose parts cannot be seen together, the first part."""
    model = reasoner.model
    told = start(conditions_of(model, {}, write_up.situation))
    timeline = told if told.moments[0].conditions == model.start else told.then(model.start)
    hold = [frozenset((fault,)) for fault in write_up.faults]
    readings = [Reading(name, outcome=outcome) for name, outcome in write_up.shown]
    belief = reasoner.belief(timeline, readings, reader=AT_WORK, hold=hold)
    return belief if belief.possible else reasoner.belief(timeline, readings[:1], reader=AT_WORK, hold=hold)


def _way(model: Model, fault: str, way: Followed) -> Way:
    names = tuple(step.name for step in way.steps)
    off = [n for n in names if n in model.repairs and fault not in model.repairs[n].clears]
    return Way(fault, way.minutes, names, way.end, way.right, tuple(off))


@dataclass(frozen=True, eq=False)
class _First:
    """A sign that is read first: its minutes, the chance of each outcome that can be, and the belief then.

    Shapes (outcomes,) and (outcomes, sets). ``bits``: what it tells about the set of faults.
    """

    name: str
    minutes: float
    chances: Array
    beliefs: Array
    bits: float

    def then_repairs(self, plan: Prepared) -> float:
        """Expected minutes if the repairs follow, by what they clear per minute."""
        return self.minutes + sum(
            p * _straight(plan, then) for p, then in zip(self.chances.tolist(), self.beliefs, strict=True)
        )

    def then_best(self, plan: Prepared) -> float:
        """The same if one more step is looked ahead: another check of the plan, or the repairs."""
        return self.minutes + sum(
            p * _ahead(plan, then) for p, then in zip(self.chances.tolist(), self.beliefs, strict=True)
        )


def _signs_first(belief: Belief, plan: Prepared) -> list[_First]:
    """Every sign that can be read from here."""
    prior = plan.search.root.belief
    found = []
    for name, sign in belief.open_to(Listed(plan.sets, prior)).items():
        work = belief.prospects[name].effort
        found.append(_first(name, work.minutes if work else 0.0, prior, np.nan_to_num(sign.given)))
    return found


def _faults_first(plan: Prepared) -> list[_First]:
    """For each fault of the plan a test of it alone, without error, as things stand and at no minutes."""
    prior = plan.search.root.belief
    found = []
    for fault in sorted({fault for chosen in plan.sets for fault in chosen}):
        there = np.array([float(fault in chosen) for chosen in plan.sets])
        found.append(_first(fault, 0.0, prior, np.stack([1.0 - there, there], axis=1)))
    return found


def _first(name: str, minutes: float, prior: Array, given: Array) -> _First:
    """``given`` (sets, outcomes): P(outcome | set)."""
    joint = (prior[:, None] * given).T
    joint = joint[joint.sum(axis=1) > 0]
    chances = joint.sum(axis=1)
    beliefs = joint / chances[:, None]
    bits = entropy(prior) - sum(p * entropy(b) for p, b in zip(chances.tolist(), beliefs, strict=True))
    return _First(name, HANDLING_MINUTES + minutes, chances, beliefs, bits)


def _straight(plan: Prepared, belief: Array) -> float:
    moves = plan.search.moves
    return float(straight_to_repair(moves, belief, moves.everything))


def _ahead(plan: Prepared, belief: Array) -> float:
    """Expected minutes by the best next step, after which the repairs follow."""
    moves = plan.search.moves
    steps = moves.moves(belief, moves.everything)
    return min(
        step.price + float(step.chances @ [_then(plan, b, step.left) for b in step.beliefs]) for step in steps
    )


def _then(plan: Prepared, belief: Array, left: int) -> float:
    moves = plan.search.moves
    return straight_to_repair(moves, belief, moves.useful(belief, left))
