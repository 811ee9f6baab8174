"""Marks: what must never raise or lower one, whatever the rubric weighs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from faultiso.assessment.grade import CRITERIA, Grade, record
from faultiso.assessment.grading import grade
from faultiso.assessment.review import Memory, Review, reviewed
from faultiso.assessment.rubric import shipped_rubric
from faultiso.casebook.case import Case
from faultiso.casebook.library import find_case
from faultiso.casebook.load import read_case
from faultiso.model.system import Model
from faultiso.practice.hazards import offered
from faultiso.practice.practice import Practice, begin
from faultiso.practice.terms import Terms
from faultiso.session.desk import Lines, events_of
from faultiso.session.events import Event

MEMORY = Memory()
RUBRIC = shipped_rubric()
Typed = tuple[str, ...]


def case_of(name: str) -> tuple[Case, Model]:
    return read_case(Path(find_case(name)))


def worked(name: str, lines: Typed, truth: tuple[str, ...] | None = None) -> Review:
    """A quiet session of these lines; "hazards" names exactly those that belong to the step."""
    case, model = case_of(name)
    case = case if truth is None else replace(case, truth=truth, digest=f"{case.digest}{truth}")
    play = begin(case, model, Lines(), Terms("quiet", "7"))
    for line in lines:
        _say(play, line)
    return reviewed(case, model, events_of(play.desk.log.entries), MEMORY)


def _say(play: Practice, line: str) -> None:
    while play.question().name == "belief":
        play.take("")
    if line.startswith("ready"):
        pick = play.desk.state.pick
        if pick is None:  # a step without a hazard was done at once
            return
        if play.question().name == "hazards":
            offer = offered(play.desk.model, pick)
            own = {name for name, _ in pick.cautions}
            wanted = offer if line == "ready, all" else () if line == "ready, none" else own
            play.take(" ".join(str(n) for n, name in enumerate(offer, 1) if name in wanted))
        play.take("ready")
        return
    play.take(line)


def graded(review: Review) -> Grade:
    return grade(review, RUBRIC)


def shares(found: Grade) -> dict[str, float | None]:
    return {mark.criterion: mark.share for mark in found.marks}


RED = "red-light"  # the low-pressure switch of the cart sticks
START: Typed = ("low-pressure light",)
MEND: Typed = (
    "repair low-pressure switch", "1", "ready", "29", "verify", "ready", "finish",
)  # fmt: skip


def test_every_criterion_has_a_mark_and_they_sum_to_the_total() -> None:
    found = graded(worked(RED, (*START, *MEND)))
    assert tuple(mark.criterion for mark in found.marks) == CRITERIA
    assert found.earned == pytest.approx(sum(found.points(mark) for mark in found.marks))
    assert 0 <= found.earned <= found.possible <= 100
    assert record(found)["mark"] == pytest.approx(found.total, abs=0.05)


def test_the_right_end_earns_the_conclusion_and_another_does_not() -> None:
    assert shares(graded(worked(RED, (*START, *MEND))))["conclusion"] == 1.0
    given_up = graded(worked(RED, (*START, "refer")))
    assert shares(given_up)["conclusion"] == RUBRIC.thresholds["stopped_short"]
    wrong = graded(worked(RED, (*START, "finish", "1")))
    assert shares(wrong)["conclusion"] == 0.0


@pytest.mark.parametrize("place", range(2))
def test_a_useless_check_never_raises_a_mark(place: int) -> None:
    lines = (*START, *MEND)
    useless = ("sound of the motor",)  # standing by, it can only be silent
    with_it = (*lines[:place], *useless, *lines[place:])
    before, after = shares(graded(worked(RED, lines))), shares(graded(worked(RED, with_it)))
    for criterion, share in after.items():
        if share is not None and before[criterion] is not None:
            assert share <= before[criterion] + 1e-9, criterion  # type: ignore[operator]


def test_two_free_looks_in_another_order_change_nothing() -> None:
    first = graded(worked(RED, ("level glass", "run light", *MEND)))
    second = graded(worked(RED, ("run light", "level glass", *MEND)))
    assert first.total == pytest.approx(second.total)


def test_naming_all_hazards_or_none_costs_and_the_right_ones_do_not() -> None:
    exact, every, none = (
        graded(worked(RED, tuple(f"ready{how}" if line == "ready" else line for line in (*START, *MEND))))
        for how in ("", ", all", ", none")
    )
    without, all_, right = (each.mark("safety").share or 0.0 for each in (none, every, exact))
    assert without < all_ < right
    assert any("named that are not there" in reason.sentence for reason in every.mark("safety").reasons)
    assert none.gates or not case_of(RED)[0].critical_precautions


def test_hindsight_does_not_matter_for_what_came_off() -> None:
    """The same steps on the same readings: whether the unit was good does not change the evidence for it."""
    steps = (*START, *MEND[:4])
    right = worked(RED, steps)
    other = next(name for name in right.model.faults if name not in right.case.truth)
    good_unit = replace(right, case=replace(right.case, truth=(other,)))
    assert shares(graded(right))["evidence"] == shares(graded(good_unit))["evidence"]


def test_the_prescribed_order_never_costs() -> None:
    case, model = case_of("monday-morning")
    steps = [line for name in case.prescribed_order for line in (model.checks[name].title, "ready")]
    play = begin(case, model, Lines(), Terms("quiet"))
    for line in steps:
        _say(play, line)
    done = {deed.name for deed in play.desk.state.deeds}
    assert set(case.prescribed_order) <= done
    found = shares(grade(reviewed(case, model, events_of(play.desk.log.entries), MEMORY), RUBRIC))
    assert found["economy"] in (1.0, None) and found["choice"] == 1.0


@pytest.mark.parametrize("name", [RED, "hot-cart", "monday-morning"])
def test_the_reference_plan_loses_nothing_by_its_own_lights(name: str) -> None:
    """Whoever does what the desk would advise loses nothing of evidence, economy and choice of checks."""
    case, model = case_of(name)
    play = begin(case, model, Lines(), Terms("quiet"))
    for _ in range(12):
        if play.over or play.desk.state.repairs:
            break
        action = play.desk.advice.action
        if action.kind in ("refer", "no fault found", "defer", "read again"):
            break
        if action.kind == "change of conditions":
            _say(play, f"set {model.situations[action.name].title}")
        else:
            play.do(action.name)
            play.settle()
        if play.desk.state.pick is not None:
            _say(play, "ready")
        if play.question().name == "reference":
            play.take(case.approved_data or "the chapter")
    found = shares(grade(reviewed(case, model, events_of(play.desk.log.entries), MEMORY), RUBRIC))
    for criterion in ("evidence", "economy", "choice"):
        assert found[criterion] in (1.0, None), (criterion, found[criterion])


def test_the_same_log_gives_the_same_marks_again() -> None:
    one, two = worked(RED, (*START, *MEND)), worked(RED, (*START, *MEND))
    fresh = reviewed(one.case, one.model, events_of_review(one), Memory())
    assert record(graded(one)) == record(graded(two)) == record(graded(fresh))


def events_of_review(review: Review) -> list[tuple[int, Event]]:
    case, model = review.case, review.model
    play = begin(case, model, Lines(), Terms("quiet", "7"))
    for line in (*START, *MEND):
        _say(play, line)
    return events_of(play.desk.log.entries)
