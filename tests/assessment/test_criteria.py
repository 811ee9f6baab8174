"""Each criterion alone: its formula by hand on a small review, and what it says about each loss."""

from __future__ import annotations

from dataclasses import replace

import pytest

from faultiso.assessment.calibration import calibrated
from faultiso.assessment.criteria import ALL
from faultiso.assessment.criteria.choice import choice, wasted
from faultiso.assessment.criteria.conclusion import conclusion
from faultiso.assessment.criteria.economy import economy
from faultiso.assessment.criteria.evidence import evidence, witnesses
from faultiso.assessment.criteria.record import record
from faultiso.assessment.criteria.safety import NAMING, RESTORING, critical_left_out, safety
from faultiso.assessment.criteria.verification import verification
from faultiso.assessment.feedback import RESTORED, feedback, points_words
from faultiso.assessment.grade import CRITERIA
from faultiso.assessment.grading import grade
from faultiso.assessment.outcome import outcome
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import shipped_rubric
from faultiso.session.ending import HANDED_OVER
from faultiso.session.state import Named

from .test_marks import MEND, RED, worked

RUBRIC = shipped_rubric()
LOOK = ("fluid under the cart",)  # what can be seen whatever runs


@pytest.fixture(scope="module")
def good() -> Review:
    return worked(RED, (*LOOK, *MEND))


def test_there_is_one_for_each_name() -> None:
    assert tuple(ALL) == CRITERIA


def test_safety_is_naming_and_restoring(good: Review) -> None:
    caution = next(iter(good.model.cautions))
    half = Named("check", "x", 0, (caution,), (caution, "x"), (caution, "other"), 5)
    state = replace(good.state, hazards=(half,))
    other = replace(good.model, cautions={**good.model.cautions, "other": good.model.cautions[caution]})
    mark = safety(replace(good, state=state, model=other), RUBRIC)
    assert mark.share == pytest.approx(NAMING / 2 + RESTORING)
    assert "1 hazards named of 2" in mark.reasons[0].sentence and mark.reasons[0].line == 5
    nothing_asked = safety(replace(good, state=replace(good.state, hazards=())), RUBRIC)
    assert nothing_asked.share == 1.0 and nothing_asked.scope == RESTORING


def test_a_critical_precaution_left_out_is_a_gate(good: Review) -> None:
    caution = next(iter(good.model.cautions))
    missed = replace(good.state, hazards=(Named("check", "x", 0, (), (caution,), (caution,), 5),))
    case = replace(good.case, critical_precautions=(caution,))
    assert critical_left_out(replace(good, state=missed, case=case))
    assert not critical_left_out(replace(good, state=missed, case=replace(case, critical_precautions=())))
    assert grade(replace(good, state=missed, case=case), RUBRIC).gates
    assert not grade(replace(good, state=missed, case=case), RUBRIC).passed


def test_evidence_goes_with_the_belief_where_better_could_have_been_done(good: Review) -> None:
    place = good.verdict.removed[0].deed
    best = good.worths[place].best
    assert best is not None and evidence(good, RUBRIC).share == 1.0
    dear = best.expected_minutes + 100.0
    for chance, share in ((0.1, 0.0), (0.5, 0.5), (0.95, 1.0)):
        weak = replace(good.worths[place], expected=dear, chance=chance)
        worths = (*good.worths[:place], weak, *good.worths[place + 1 :])
        mark = evidence(replace(good, worths=worths), RUBRIC)
        most = RUBRIC.thresholds["one_witness"] if witnesses(good, good.done[place]) < 2 else 1.0
        assert mark.share == pytest.approx(min(share, most))
        assert mark.share == 1.0 or f"step {place + 1}" != mark.reasons[0].sentence


def test_what_is_not_restored_counts_in_safety_alone(good: Review) -> None:
    name, now = next(iter(good.state.course.conditions.items()))
    other = next(value for value in good.model.conditions[name].values if value != now)
    condition = replace(good.model.conditions[name], must_restore=True, start=other)
    model = replace(good.model, conditions={**good.model.conditions, name: condition})
    verdict = replace(good.verdict, how=HANDED_OVER, right=False)
    only_this = replace(good, verdict=verdict, model=model, state=replace(good.state, model=model))
    assert only_this.state.unrestored == {name: now}
    before, after = safety(good, RUBRIC).share, safety(only_this, RUBRIC).share
    assert before is not None and after == pytest.approx(before - RESTORING)
    assert conclusion(only_this, RUBRIC).share == 1.0
    unproved = replace(good.state.repairs[-1], proof="")
    repairs = (*good.state.repairs[:-1], unproved)
    short = RUBRIC.thresholds["stopped_short"]
    open_too = replace(only_this, state=replace(only_this.state, repairs=repairs))
    assert conclusion(open_too, RUBRIC).share == short
    still = replace(only_this, verdict=replace(verdict, remains=good.case.truth))
    assert conclusion(still, RUBRIC).share == short


def test_conclusion_counts_what_is_mended(good: Review) -> None:
    assert conclusion(good, RUBRIC).share == 1.0
    other = next(name for name in good.model.faults if name not in good.case.truth)
    two = replace(good.case, truth=(*good.case.truth, other))
    half = replace(good, case=two, verdict=replace(good.verdict, right=False, remains=(other,)))
    assert conclusion(half, RUBRIC).share == pytest.approx(RUBRIC.thresholds["half_mended"] / 2)
    none = replace(good, verdict=replace(good.verdict, right=False, remains=good.case.truth))
    assert conclusion(none, RUBRIC).share == 0.0


def test_verification_and_record_look_at_every_repair(good: Review) -> None:
    assert verification(good, RUBRIC).share == 1.0 and record(good, RUBRIC).share == 1.0
    bare = replace(good.state.repairs[0], proof="", reference="")
    unproved = replace(good, state=replace(good.state, repairs=(bare,), references=()))
    assert verification(unproved, RUBRIC).share == 0.0 and record(unproved, RUBRIC).share == 0.0
    other = replace(good.state.repairs[0], reference="chapter 78")
    case = replace(good.case, approved_data="29-30")
    elsewhere = replace(good, case=case, state=replace(good.state, repairs=(other,)))
    assert record(elsewhere, RUBRIC).share == RUBRIC.thresholds["data_only_named"]
    nothing = replace(good, state=replace(good.state, repairs=()), verdict=replace(good.verdict, removed=()))
    assert nothing.shirked and not good.shirked
    for criterion in (evidence, verification, record):  # what was to be mended was not: nothing was shown
        assert criterion(nothing, RUBRIC).share == 0.0
    assert economy(nothing, RUBRIC).share is None
    rightly = replace(nothing, case=replace(good.case, right_end="no fault found"))
    for criterion in (evidence, verification, record):
        assert criterion(rightly, RUBRIC).share is None
    assert economy(rightly, RUBRIC).share is not None


def test_economy_is_minutes_lost_over_the_best_way_each_step_once(good: Review) -> None:
    first = good.worths[0]
    assert first.best is not None and not wasted(good)
    lost = 0.5 * first.best.expected_minutes
    dear = replace(first, expected=first.best.expected_minutes + lost)
    mark = economy(replace(good, worths=(dear, *good.worths[1:])), RUBRIC)
    assert mark.share == pytest.approx(0.5) and mark.reasons[0].step == 1


def test_choice_counts_what_could_tell_nothing() -> None:
    idle = worked(RED, (*LOOK, "sound of the motor", *MEND))
    readings = sum(passage.deed.what in ("check", "look") for passage in idle.done)
    assert wasted(idle) == (1,)
    assert choice(idle, RUBRIC).share == pytest.approx(1 - 1 / readings)


def test_feedback_and_outcome_are_of_the_same_grade(good: Review) -> None:
    found = outcome(good, RUBRIC, "0001")
    assert found.grade == grade(good, RUBRIC, "0001")
    assert found.truth == found.named and not found.wasted
    told = feedback(found.grade)
    assert told.good and (told.change is None or told.change[1].sentence)
    assert [points_words(found.grade, m) for m in found.grade.marks if m.by_hand] == ["by hand, 5"]
    coached = replace(good, state=replace(good.state, hazards=()))
    assert RESTORED in feedback(grade(coached, RUBRIC)).good


def test_beliefs_are_compared_with_the_truth(good: Review) -> None:
    from faultiso.session.state import Stated

    unit = good.case.truth[0].partition(".")[0]
    state = replace(good.state, beliefs=(Stated({unit: 60.0, "nothing": 10.0}, "", 0, 3),))
    assert calibrated(replace(good, state=state)) == ((0.6, True), (0.1, False))


def test_a_proof_that_passes_covers_what_was_repaired_before_it(good: Review) -> None:
    first = good.state.repairs[0]
    place = next(n for n, passage in enumerate(good.done) if passage.deed.what == "repair")
    done = (*good.done[: place + 1], good.done[place], *good.done[place + 1 :])
    twice = replace(good, done=done, worths=(*good.worths, good.worths[place]))
    for proof, share in (("passed", 1.0), ("", 0.0), ("failed", 0.5)):
        repairs = (replace(first, proof=""), replace(first, proof=proof))
        assert verification(replace(twice, state=replace(good.state, repairs=repairs)), RUBRIC).share == share


def test_a_reset_mends_nothing_and_is_not_taken_for_a_repair_of_its_unit(good: Review) -> None:
    reset = replace(good.state.repairs[0], name="reset_cutout")
    assert good.model.repairs["reset_cutout"].component == "overheat_cutout"
    only_reset = replace(good, state=replace(good.state, repairs=(reset,)))
    assert outcome(good, RUBRIC).named and outcome(only_reset, RUBRIC).named == ()
