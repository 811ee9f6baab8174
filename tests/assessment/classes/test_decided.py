"""What an instructor decided, in place of what was proposed."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.classes.decided import decided
from faultiso.assessment.classes.grading import Graded
from faultiso.assessment.grade import record
from faultiso.assessment.outcome import Outcome
from faultiso.assessment.standing import Act, Change, Standing
from tests.assessment.classes.made import outcome


def of(one: Outcome, **given: object) -> Standing:
    """What stands of a session, as a file of marks has it."""
    grade = json.loads(json.dumps(record(one.grade)))
    standing = Standing("seal", one.receipt, grade, one.grade.pass_mark, {}, (), 2)
    return replace(standing, **given)  # type: ignore[arg-type]


ACT = Act("MK", "2026-11-27T10:00:00+00:00", 3)


def received(candidate: str, mark: float = 50.0, **given: object) -> Outcome:
    return replace(outcome(candidate, mark=mark, **given), receipt=f"R-{candidate}")  # type: ignore[arg-type]


@given(st.floats(0, 100), st.floats(0, 15))
def test_the_class_has_the_points_that_were_confirmed(mark: float, points: float) -> None:
    one = received("1", mark)
    change = Change("conclusion", 1.0, points, None, 15.0, "as he said", "MK", "2026", 3)
    out_of = next(p.out_of for p in of(one).points if p.criterion == "conclusion")
    standing = of(one, changes=(replace(change, out_of=out_of),), confirmed=ACT)
    (found,) = decided(Graded((one,), ()), [standing]).outcomes
    assert found.grade.total == pytest.approx(standing.mark, abs=0.06)
    assert found.grade.points(found.grade.mark("conclusion")) == pytest.approx(points)
    assert found.grade.mark("conclusion").reasons[0].sentence == "set by MK: as he said"
    assert found.confirmed == "MK, 2026-11-27"


def test_what_is_proposed_only_stays_as_it_was() -> None:
    one, two = received("1", attention=["disputes a reading"]), received("2")
    change = Change("conclusion", 1.0, 2.0, None, 15.0, "why", "MK", "2026", 3)
    found = decided(Graded((one, two), ()), [of(one, changes=(change,))])
    assert found.outcomes == (one, two)


def test_gates_that_were_lifted_are_gone_and_nothing_is_left_to_look_at() -> None:
    one = received("1", 90, gates=["arc not named"], attention=["disputes a reading"])
    change = Change("gates", 1.0, 0.0, 1.0, 1.0, "he said it", "MK", "2026", 3)
    (stays,) = decided(Graded((one,), ()), [of(one, confirmed=ACT)]).outcomes
    assert [reason.sentence for reason in stays.grade.gates] == ["arc not named"] and not stays.grade.passed
    (lifted,) = decided(Graded((one,), ()), [of(one, changes=(change,), confirmed=ACT)]).outcomes
    assert lifted.grade.passed and not lifted.grade.attention


def test_a_withdrawn_session_has_no_mark_and_says_why() -> None:
    one, two = received("1"), received("2")
    act = Act("MK", "2026", 4, "a wrong case")
    found = decided(Graded((one, two), ()), [of(one, confirmed=ACT, withdrawn=act)])
    assert found.outcomes == (two,) and found.all_judged
    assert [(each.kind, each.sentence) for each in found.aside] == [
        ("withdrawn", "withdrawn by MK: a wrong case")
    ]
