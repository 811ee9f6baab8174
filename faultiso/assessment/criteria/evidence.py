"""Evidence before removal: was the belief strong enough, from independent witnesses, before a unit came off.

For each unit that came off: full where nothing better could have been done from there (whatever the unit
then proved to be); else by the belief in what the repair mends, from ``least_belief`` (nothing) to
``enough_belief`` (all), at most ``one_witness`` where a single sign spoke for it. The mean over the
removals. Nothing where something was to be mended and nothing was repaired.
"""

from __future__ import annotations

from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.passages import Passage
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.assessment.worth import Worth, action_words
from faultiso.base.figures import in_hundred, minutes_words
from faultiso.model.dependence import dependences
from faultiso.model.expected import expected


def evidence(review: Review, rubric: Rubric) -> Mark:
    shares, reasons = [], []
    for unit in review.verdict.removed:
        passage, worth = review.done[unit.deed], review.worths[unit.deed]
        share = _share(review, rubric, passage, worth)
        shares.append(share)
        if share < 1.0:
            reasons.append(_reason(review, passage, worth, unit.deed + 1))
    if review.shirked:
        return Mark("evidence", 0.0, (Reason("nothing was repaired: no cause was found"),))
    if not shares:
        return Mark("evidence", None, (Reason("no unit came off"),))
    return Mark("evidence", sum(shares) / len(shares), tuple(reasons))


def _share(review: Review, rubric: Rubric, passage: Passage, worth: Worth) -> float:
    if worth.as_good or worth.chance is None:
        return 1.0
    least, enough = rubric.thresholds["least_belief"], rubric.thresholds["enough_belief"]
    share = min(max((worth.chance - least) / (enough - least), 0.0), 1.0)
    if witnesses(review, passage) < 2:
        share = min(share, rubric.thresholds["one_witness"])
    return share


def witnesses(review: Review, passage: Passage) -> int:
    """Signs that showed something else than with nothing wrong, and that feel what the repair mends."""
    mended = set(review.model.repairs[passage.deed.name].clears)
    feels = dependences(review.model)
    found = set()
    for reading in passage.before.readings:
        if mended & set(feels[reading.sign].faults):
            conditions = passage.before.course.timeline.moments[reading.moment].conditions
            if reading.outcome != expected(review.model, conditions)[reading.sign]:
                found.add(reading.sign)
    return len(found)


def _reason(review: Review, passage: Passage, worth: Worth, step: int) -> Reason:
    title = review.model.repairs[passage.deed.name].title
    chance = in_hundred(worth.chance or 0.0)
    better = ""
    if worth.best is not None and not worth.as_good:
        better = f"; {action_words(worth.best)} first would have saved {minutes_words(worth.loss)} on average"
    return Reason(f"{title} at a belief of {chance} in 100{better}", step, passage.deed.line)
