"""What to teach next, whom to talk to, what to look at first."""

from __future__ import annotations

import pytest
from hypothesis import given

from faultiso.assessment.classes.attention import Aside, look_at_first
from faultiso.assessment.classes.people import people_of
from faultiso.assessment.classes.teaching import CRITICAL, lessons, lost_points, talks
from faultiso.assessment.outcome import Outcome
from tests.assessment.classes.made import outcome
from tests.assessment.classes.test_findings import CLASSES

CAUTION = ("pump 1 caution", 14.0)


def test_what_most_have_in_common_is_taught_with_its_figures() -> None:
    work = [outcome("1", silent=[CAUTION]), outcome("2", silent=[CAUTION, ("gauge", 2.0)]), outcome("3")]
    (found,) = lessons(people_of(work))
    assert str(found) == (
        "Inhibited and silent signs. 2 of 3 looked for news where a sign could show nothing else, 15 min each on "
        "average; most often: pump 1 caution (2)."
    )


def test_a_look_that_costs_nothing_is_told_without_minutes() -> None:
    (found,) = lessons(people_of([outcome(n, silent=[("light", 0.0)]) for n in "12"]))
    assert "min" not in found.sentence


def test_what_one_person_did_is_no_lesson_for_all() -> None:
    assert lessons(people_of([outcome("1", silent=[CAUTION], missed=[("arc", True)]), outcome("2")])) == ()
    assert lessons(people_of([])) == ()


def test_critical_precautions_come_before_what_more_people_did() -> None:
    arc = [("propeller arc", True)]
    work = [outcome(str(n), silent=[CAUTION], missed=arc if n < 2 else []) for n in range(6)]
    found = lessons(people_of(work))
    assert [(each.about, each.people) for each in found] == [(CRITICAL, 2), ("Inhibited and silent signs", 6)]


def test_criteria_that_several_earned_less_than_half_of_are_taught() -> None:
    found = lessons(people_of([outcome(n, mark=20) for n in "12"]))
    assert "2 of 2 took a unit off before the evidence was there." in {
        str(each).split(". ", 1)[1] for each in found
    }
    assert len(found) == 5


@given(CLASSES)
def test_everybody_who_did_not_pass_a_case_is_talked_to_gates_first(work: list[Outcome]) -> None:
    found = talks(people_of(work))
    failed = sorted(o.path for o in work if not o.grade.passed)
    assert sorted(talk.outcome.path for talk in found) == failed
    order = [(not talk.outcome.grade.gates, talk.outcome.grade.total) for talk in found]
    assert order == sorted(order)


@given(CLASSES)
def test_points_lost_are_what_is_missing_to_the_whole(work: list[Outcome]) -> None:
    for _, lost, of in lost_points(people_of(work)):
        assert -1e-9 <= lost <= of + 1e-9
    if work:
        rows = lost_points(people_of(work))
        mean = sum(o.grade.possible - o.grade.earned for o in work) / len(work)
        assert abs(sum(lost for _, lost, _ in rows) - mean) < 1e-6


def test_altered_logs_come_first_then_what_is_to_confirm_then_gates_then_low_marks() -> None:
    work = [
        outcome("1", mark=50),
        outcome("2", mark=90, gates=["arc not named before step 4"]),
        outcome("3", mark=90, attention=["disputes a reading"]),
        outcome("4", mark=90),
    ]
    aside = [Aside("a.jsonl", "unfinished", "unfinished at 22 min."), Aside("b.jsonl", "altered", "line 41.")]
    found = look_at_first(people_of(work), aside)
    assert [(each.kind, each.who) for each in found] == [
        ("no mark", "b.jsonl"), ("no mark", "a.jsonl"), ("confirm", "3"), ("gate", "2"), ("not passed", "1"),
    ]  # fmt: skip
    assert found[2].why == "Disputes a reading." and found[3].why.startswith("Failed by a gate: arc")
    assert "evidence" in found[4].why.casefold()


@pytest.mark.parametrize(("logs", "told"), [(3, ["a0", "a1", "a2", "b"]), (4, ["4 logs", "b"])])
def test_the_same_of_many_logs_is_told_once_after_what_is_disputed(logs: int, told: list[str]) -> None:
    noted = [Aside(f"a{n}", "brought", "came along.", case=f"case-{n % 2}") for n in range(logs)]
    noted.append(Aside("b", "brought", "came late.", case="other"))
    found = look_at_first(people_of([outcome("7", mark=90, attention=["disputes a reading"])]), [], noted)
    assert [each.who for each in found] == ["7", *told]
    assert logs < 4 or found[1].case == "2 cases"
