"""The one thing to do differently next time: what mattered most, in one sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from faultiso.assessment.cautions import Missed
from faultiso.assessment.verdict import Verdict, ended_otherwise
from faultiso.base.figures import in_hundred, minutes_words
from faultiso.casebook.case import Case
from faultiso.model.system import Model
from faultiso.session.ending import REFERRED
from faultiso.session.state import State

if TYPE_CHECKING:
    from faultiso.assessment.debrief import Step

WEAK = 0.5  # belief in a unit below which it came off too early


def lesson(
    case: Case, model: Model, outcome: Verdict, steps: Sequence[Step], missed: Sequence[Missed], state: State
) -> str:
    """The first that applies, safety first; praise where nothing does."""
    found = _found(case, model, outcome, steps, missed, state)
    return next(found, "Nothing: each step was as good as any other from where you stood.")


def _found(
    case: Case, model: Model, outcome: Verdict, steps: Sequence[Step], missed: Sequence[Missed], state: State
) -> Iterator[str]:
    critical = next((item for item in missed if item.critical), None)
    if critical is not None:
        yield f"Before step {critical.step} name what can hurt you there: {', '.join(critical.critical)}."
    if state.unrestored and state.end:
        yield "Put back everything that the work has changed before you leave it."
    yield from _early_removals(outcome, steps)
    stopped = ended_otherwise(outcome.how) or outcome.how == REFERRED
    if stopped and not outcome.right and not state.repairs and case.right_end == "rectified":
        yield "You stopped before a cause was found: read on until one is, mend it and prove that it was it."
    if not outcome.right and not ended_otherwise(outcome.how):
        yield from _wrong_end(case, outcome)
    yield from _silent_looks(steps)
    yield from _costly(steps)
    if missed:
        yield f"Before step {missed[0].step} think again which hazards belong to it."


def _early_removals(outcome: Verdict, steps: Sequence[Step]) -> Iterator[str]:
    for unit in outcome.good_units:
        step = steps[unit.deed]
        chance = step.worth.chance
        if chance is not None and chance < WEAK:
            best = f"; the better step from there was: {step.better}" if step.better else ""
            yield (
                f"Step {step.number}: a unit came off when its chance to be the cause was "
                f"{in_hundred(chance)} in 100{best}."
            )


def _wrong_end(case: Case, outcome: Verdict) -> Iterator[str]:
    match case.right_end:
        case "no fault found":
            yield "Nothing was wrong: know what is normal in that condition before anything is touched."
        case "refer":
            yield "When nothing on the data sheet explains the readings, stop and refer it."
        case "deferred":
            yield "This could be deferred under the sheet, with its placard and interval."
        case _ if outcome.how == "no fault found":
            yield "The fault was there: read in the conditions of the complaint before calling it none."
        case _:
            yield "The fault is still there: prove the repair where the complaint was seen."


def _silent_looks(steps: Sequence[Step]) -> Iterator[str]:
    silent = [step for step in steps if step.silent]
    if silent:
        yield (
            "Ask in which condition a light can speak, and look at it there: "
            f"step {silent[0].number} could tell nothing ({silent[0].silent})."
        )


def _costly(steps: Sequence[Step]) -> Iterator[str]:
    worst = max(steps, key=lambda step: step.worth.loss, default=None)
    if worst is not None and not worst.worth.as_good:
        yield (
            f"Step {worst.number}: {worst.better} first would have taken {minutes_words(worst.worth.loss)} "
            "less on average."
        )
