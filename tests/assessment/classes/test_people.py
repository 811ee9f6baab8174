"""People of a class: whose work is whose, their marks, who passes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.classes.people import people_of, sessions
from tests.assessment.classes.made import RUBRIC, outcome

MARKS = st.lists(st.tuples(st.sampled_from("123"), st.sampled_from("abc"), st.floats(0, 100)), max_size=12)


@given(MARKS)
def test_a_mark_is_the_mean_of_the_cases_and_of_a_case_the_mean_of_its_attempts(work) -> None:  # type: ignore[no-untyped-def]
    people = people_of(outcome(who, case, mark) for who, case, mark in work)
    assert sorted(person.id for person in people) == sorted({who for who, _, _ in work})
    assert len(sessions(people)) == len(work)
    for person in people:
        means = []
        for case in {case for who, case, _ in work if who == person.id}:
            marks = [mark for who, name, mark in work if (who, name) == (person.id, case)]
            means.append(sum(marks) / len(marks))
            assert person.by_case[case] == pytest.approx(means[-1])
        assert person.mark == pytest.approx(sum(means) / len(means))
        assert person.passed == (person.mark >= RUBRIC.pass_mark)


def test_who_failed_a_case_by_a_gate_has_not_passed() -> None:
    (person,) = people_of([outcome("1", "a", 100), outcome("1", "b", 100, gates=["left out"])])
    assert person.mark == pytest.approx(100) and person.failed_by_gate and not person.passed


def test_numbers_stand_in_their_order_and_logs_that_name_nobody_last_each_alone() -> None:
    work = [
        outcome("", path="x.jsonl"),
        outcome("14"),
        outcome("B7"),
        outcome("2"),
        outcome("", path="y.jsonl"),
    ]
    people = people_of(work, lambda number: {"14": "Reed", "": "nobody"}.get(number, ""))
    assert [person.called for person in people] == [
        "2", "14 Reed", "B7", "nobody named (x.jsonl)", "nobody named (y.jsonl)",
    ]  # fmt: skip
