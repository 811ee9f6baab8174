"""Conclusion: the right end, and what was wrong is mended.

Full for the end of the case with all of its faults mended; ``half_mended`` in proportion where some of
several faults are; ``stopped_short`` for a referral or a handover where the work could have been brought to
its end; nothing for a wrong end that was called complete. Work that is mended and proved, and handed over
only because something is not restored, is concluded: what is not restored counts in safety alone.
"""

from __future__ import annotations

from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.session import words
from faultiso.session.ending import HANDED_OVER, REFERRED, UNFINISHED, open_items

WEAK = 0.5  # belief in a unit below which the right one came off by luck


def conclusion(review: Review, rubric: Rubric) -> Mark:
    outcome, truth = review.verdict, set(review.case.truth)
    step = len(review.done)
    line = review.done[-1].deed.line if review.done else 0
    if outcome.right:
        return Mark("conclusion", 1.0, _by_luck(review))
    if outcome.how == UNFINISHED:
        return Mark("conclusion", 0.0, (Reason("the work was not ended", step, line),))
    if _all_but_restored(review):
        return Mark("conclusion", 1.0, _by_luck(review))
    said = Reason(f"it ended as {outcome.how}; right was: {review.case.right_end}", step, line)
    if outcome.how in (REFERRED, HANDED_OVER):
        return Mark("conclusion", rubric.thresholds["stopped_short"], (said,))
    mended = truth - set(outcome.remains)
    if truth and mended:
        share = rubric.thresholds["half_mended"] * len(mended) / len(truth)
        left = words.set_words(review.model, sorted(truth & set(outcome.remains)))
        return Mark("conclusion", share, (Reason(f"still there: {left}", step, line),))
    return Mark("conclusion", 0.0, (said,))


def _all_but_restored(review: Review) -> bool:
    """Handed over, with nothing open but what was not restored: one error is counted once."""
    outcome, state = review.verdict, review.state
    mended = review.case.right_end == "rectified" and not set(review.case.truth) & set(outcome.remains)
    only_unrestored = bool(state.repairs) and len(open_items(state)) == len(state.unrestored)
    return outcome.how == HANDED_OVER and mended and only_unrestored


def _by_luck(review: Review) -> tuple[Reason, ...]:
    """The right unit, but the readings fitted others as well: told, not marked twice."""
    for unit in review.verdict.removed:
        chance = review.worths[unit.deed].chance
        if unit.was_wrong and chance is not None and chance < WEAK:
            line = review.done[unit.deed].deed.line
            return (Reason("right unit, but by luck: others fitted the readings too", unit.deed + 1, line),)
    return ()
