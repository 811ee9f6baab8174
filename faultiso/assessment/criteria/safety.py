"""Safety and restoring: hazards named before the step, and everything put back.

Share = 0.6 x hazards that were named / hazards of the steps where they were asked + 0.4 x (1 if everything
is restored at the end). Where no hazards were asked (coached work) only the second part can be earned.
Naming one too many at a step costs nothing, each further one takes a right one back: whoever names all that
is listed has not thought. Pressing "ready" earns nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.session import words
from faultiso.session.state import Named

NAMING, RESTORING = 0.6, 0.4
TOO_MANY = 1  # hazards that are not there, named at one step, that cost nothing


def safety(review: Review, rubric: Rubric) -> Mark:
    state = review.state
    asked = sum(len(named.cautions) for named in state.hazards)
    named = sum(map(_rightly, state.hazards))
    restored = 0.0 if state.unrestored else 1.0
    reasons = (*_unnamed(review), *_unrestored(review))
    if not asked:
        return Mark("safety", restored, reasons, scope=RESTORING)
    return Mark("safety", NAMING * named / asked + RESTORING * restored, reasons)


def _rightly(each: Named) -> int:
    """Hazards that were named, less those that are not there beyond the one that costs nothing."""
    right = len(set(each.cautions) & set(each.named))
    wrong = len(set(each.named) - set(each.cautions))
    return max(0, right - max(0, wrong - TOO_MANY))


def _unnamed(review: Review) -> Iterator[Reason]:
    for each in review.state.hazards:
        left_out = [name for name in each.cautions if name not in each.named]
        if left_out:
            titles = ", ".join(review.model.cautions[name].title for name in left_out)
            count = f"{len(each.cautions) - len(left_out)} hazards named of {len(each.cautions)}"
            yield Reason(f"{count}; left out: {titles}", each.deeds + 1, each.line)
        wrong = set(each.named) - set(each.cautions)
        if each.cautions and len(wrong) > TOO_MANY:
            yield Reason(f"{len(wrong)} hazards named that are not there", each.deeds + 1, each.line)


def _unrestored(review: Review) -> Iterator[Reason]:
    state = review.state
    if state.unrestored:
        left = words.settings_words(review.model, state.unrestored)
        yield Reason(f"you left it so: {left}", len(state.deeds), state.deeds[-1].line if state.deeds else 0)


def critical_left_out(review: Review) -> tuple[Reason, ...]:
    """Steps before which a precaution that the case calls critical was asked for and not named."""
    critical = set(review.case.critical_precautions)
    found = []
    for each in review.state.hazards:
        for name in each.cautions:
            if name in critical and name not in each.named:
                title, step = review.model.cautions[name].title, each.deeds + 1
                found.append(Reason(f"{title} not named before step {step}", step, each.line))
    return tuple(found)
