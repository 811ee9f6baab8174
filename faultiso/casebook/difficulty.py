"""How difficult a case is, computed: what the best plan takes, what lures away, what stays alike.

    score = 0.35 minutes + 0.20 steps + 0.35 lure + 0.10 alike            each part between 0 and 1

    minutes   of the best plan on the outcomes that the truth gives most likely: 0 up to 15, 1 from 240 on, by
              their logarithm
    steps     of that plan, checks and repairs: 0 for one, 1 from eight on
    lure      belief in the most probable good unit over that plus belief in the faulty one (the less believed
              of several; with nothing wrong, that nothing modelled is): 1/2 is a toss
    alike     n sets of faults that nothing tells from the truth: n / (n + 1)

Weights and cut points are our own, chosen so that the shipped cases spread. Most of the time goes into what
other situations would show (``planning.posing``): a second on a model of 170 faults, a tenth on a small one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.case import LEVELS, Case, Level
from faultiso.casebook.complaint import Complaint
from faultiso.casebook.following import Followed, followed, referred
from faultiso.casebook.repairing import Stuck, way_out
from faultiso.planning.posing import parts_of
from faultiso.planning.sequencing.problem import BadPlanningProblem

WEIGHTS = {"minutes": 0.35, "steps": 0.20, "lure": 0.35, "alike": 0.10}
CUTS = (0.30, 0.45, 0.60)  # scores from which a case is middling, hard, very hard
QUICK, LONG = 15.0, 240.0  # minutes
MANY_STEPS = 8


@dataclass(frozen=True)
class Difficulty:
    """``way``: the best plan followed; where it does not come to a right end, the quickest repairs of what is
    wrong come on top in ``minutes`` and ``steps``. ``lured_to``: the title of the good unit that is believed
    most. ``alike``: how many sets of faults nothing tells from the truth."""

    way: Followed
    minutes: float
    steps: int
    lure: float
    lured_to: str
    alike: int

    @property
    def parts(self) -> dict[str, float]:
        """Each part of the score before its weight, 0..1."""
        minutes = math.log(max(self.minutes, QUICK) / QUICK) / math.log(LONG / QUICK)
        return {
            "minutes": min(1.0, minutes),
            "steps": min(1.0, max(0, self.steps - 1) / (MANY_STEPS - 1)),
            "lure": self.lure,
            "alike": self.alike / (self.alike + 1),
        }

    @property
    def score(self) -> float:
        return sum(WEIGHTS[name] * part for name, part in self.parts.items())

    @property
    def number(self) -> int:
        """1 (easy) to 4 (very hard)."""
        return 1 + sum(self.score >= cut for cut in CUTS)

    @property
    def level(self) -> Level:
        return LEVELS[self.number - 1]


def difficulty(case: Case, reasoner: Reasoner, told: Complaint, alike: int) -> Difficulty | None:
    """The difficulty of a case whose complaint can be; None where its model leaves nothing to plan with."""
    truth = frozenset(case.truth)
    belief = reasoner.belief(told.timeline, told.readings, hold=tuple(parts_of(truth)))
    try:
        way = referred() if case.beyond_model else followed(belief, truth)
    except BadPlanningProblem:
        return None
    minutes, steps = way.minutes, len(way.steps)
    if not way.right and case.right_end != "refer":
        more = way_out(reasoner.model, case.truth, belief.standing)
        if not isinstance(more, Stuck):
            minutes, steps = minutes + more.minutes, steps + len(more.repairs)
    return Difficulty(way, minutes, steps, *_lure(belief, truth), alike)


def _lure(belief: Belief, truth: frozenset[str]) -> tuple[float, str]:
    """How much more a good unit is believed to be faulty than one that is, and its title."""
    model = belief.model
    guilty = {model.faults[fault].component for fault in truth}
    found = dict.fromkeys(model.components, 0.0)
    for chosen, chance in zip(belief.leading.sets, belief.leading.posterior.tolist(), strict=True):
        for name in {model.faults[fault].component for fault in chosen}:
            found[name] += chance
    good = {name: chance for name, chance in found.items() if name not in guilty}
    wrong = max(good, key=lambda name: good[name], default="")
    right = min((found[name] for name in guilty), default=belief.none_modelled)
    total = good.get(wrong, 0.0) + right
    return (good[wrong] / total, model.components[wrong].title) if wrong and total > 0 else (0.0, "")
