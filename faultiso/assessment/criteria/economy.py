"""Economy: minutes against the best way from each position, step by step, so that one bad step counts once.

Share = 1 - lost / (``minutes_for_all`` x the best way from the start). A step within 5 minutes or 10 % of
the best loses nothing, nor does a step of the order that the case prescribes, nor one that "choice of
checks" or "evidence before removal" has counted already. Left out where something was to be mended and
nothing was repaired: whoever stops early is not quick.
"""

from __future__ import annotations

from faultiso.assessment.criteria.choice import wasted
from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.assessment.worth import action_words
from faultiso.base.figures import minutes_words


def economy(review: Review, rubric: Rubric) -> Mark:
    best = next((worth.best.expected_minutes for worth in review.worths if worth.best), 0.0)
    if best <= 0 or review.shirked:
        return Mark("economy", None, (Reason("nothing to compare with"),))
    counted = {*wasted(review), *(unit.deed for unit in review.verdict.removed)}
    lost, reasons = 0.0, []
    for place, worth in enumerate(review.worths):
        deed = review.done[place].deed
        if worth.as_good or place in counted or deed.name in review.case.prescribed_order:
            continue
        lost += worth.loss
        better = f": {action_words(worth.best)} would have been better" if worth.best else ""
        reasons.append(Reason(f"{minutes_words(worth.loss)} lost{better}", place + 1, deed.line))
    share = max(0.0, 1.0 - lost / max(rubric.thresholds["minutes_for_all"] * best, 1e-9))
    return Mark("economy", share, tuple(reasons))
