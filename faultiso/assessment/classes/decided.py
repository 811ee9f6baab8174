"""A class as an instructor decided: confirmed marks in place of proposals, none for withdrawn sessions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from faultiso.assessment.classes.attention import Aside
from faultiso.assessment.classes.grading import Graded
from faultiso.assessment.grade import Grade, Mark, Reason
from faultiso.assessment.outcome import Outcome
from faultiso.assessment.standing import Act, Points, Standing


def decided(found: Graded, standings: Iterable[Standing]) -> Graded:
    """The class with what stands in a file of marks; sessions are known by the receipts of their logs."""
    by_receipt = {standing.receipt: standing for standing in standings}
    outcomes, aside = [], list(found.aside)
    for outcome in found.outcomes:
        standing = by_receipt.get(outcome.receipt)
        if standing is not None and standing.withdrawn is not None:
            aside.append(_withdrawn(outcome, standing.withdrawn))
        elif standing is not None and standing.confirmed is not None:
            outcomes.append(_confirmed(outcome, standing, standing.confirmed))
        else:
            outcomes.append(outcome)
    return replace(found, outcomes=tuple(outcomes), aside=tuple(aside))


def _withdrawn(outcome: Outcome, act: Act) -> Aside:
    sentence = f"withdrawn by {act.by}: {act.because}"
    return Aside(outcome.path, "withdrawn", sentence, outcome.grade.candidate, outcome.grade.case)


def _confirmed(outcome: Outcome, standing: Standing, act: Act) -> Outcome:
    return replace(
        outcome, grade=_as_confirmed(outcome.grade, standing), confirmed=f"{act.by}, {act.at[:10]}"
    )


def _as_confirmed(proposed: Grade, standing: Standing) -> Grade:
    """The grade with the points that were confirmed. Nothing is left to be looked at."""
    reasons = {mark["criterion"]: tuple(_reasons(mark)) for mark in standing.grade["marks"]}
    return replace(
        proposed,
        marks=tuple(_mark(each, reasons[each.criterion], proposed.weights) for each in standing.points),
        pass_mark=standing.pass_mark,
        gates=tuple(Reason(sentence) for sentence in standing.gates),
        attention=(),
    )


def _reasons(mark: Mapping[str, Any]) -> Iterator[Reason]:
    for each in mark["reasons"]:
        yield Reason(str(each["sentence"]), int(each.get("step", 0)), int(each.get("line", 0)))


def _mark(points: Points, reasons: tuple[Reason, ...], weights: Mapping[str, float]) -> Mark:
    """A mark that comes to these points by the weights of this rubric, whatever rubric they were given by."""
    if points.change is not None:
        reasons = (Reason(f"set by {points.change.by}: {points.change.because}"), *reasons)
    weight = weights.get(points.criterion, 0.0)
    if points.points is None or points.out_of <= 0 or weight <= 0:
        return Mark(points.criterion, None, reasons, by_hand=points.by_hand)
    return Mark(points.criterion, points.points / points.out_of, reasons, points.out_of / weight)
