"""Which attempts count: by a rule that is stated, and with a sentence for each that does not."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.attempts import RULES, Attempt, Counted, attempt_of, counted, rule_of, until_of
from faultiso.assessment.roster import candidate_key
from faultiso.base.journal import Journal
from faultiso.base.problems import UsageError
from faultiso.session.home import Home
from tests.assessment.class_of import BY_LUCK, GIVEN_UP, begun_with, split, worked

NOON = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)


def attempt(
    number: int, candidate: str = "14", case: str = "a", hour: int | None = 0, mark: float | None = None,
    finished: bool = True,
) -> Attempt:  # fmt: skip
    begun = None if hour is None else NOON + timedelta(hours=hour)
    ended = None if begun is None else begun + timedelta(minutes=30)
    seals = (f"{number}", f"{number}.2")
    return Attempt(candidate, case, f"{number}.jsonl", begun, ended, finished, seals, f"{number}", mark)


def kept(*attempts: Attempt, rule: str) -> list[str]:
    return [each.attempt.called[0] for each in counted(attempts, rule_of(rule)) if each.counts]


def test_each_rule_chooses_one() -> None:
    three = (attempt(1, hour=2, mark=70), attempt(2, hour=0, mark=40), attempt(3, hour=5, mark=55))
    assert kept(*three, rule="first") == ["2"]
    assert kept(*three, rule="last") == ["3"]
    assert kept(*three, rule="best") == ["1"]
    assert kept(*three, rule="all") == ["1", "2", "3"]


def test_what_does_not_count_says_why() -> None:
    found = counted([attempt(1), attempt(2, hour=3)], "last")
    assert [each.why for each in found] == ["the last attempt counts: 2.jsonl.", ""]


def test_an_unfinished_attempt_gives_way_to_a_finished_one() -> None:
    two = (attempt(1, hour=0), attempt(2, hour=3, finished=False))
    assert kept(*two, rule="last") == ["1"]
    assert kept(two[1], rule="last") == ["2"]


def test_numbers_are_compared_as_numbers_and_people_without_one_are_not_one() -> None:
    assert kept(attempt(1, "9"), attempt(2, "09", hour=1), rule="first") == ["1"]
    assert kept(attempt(1, ""), attempt(2, "", hour=1), rule="first") == ["1", "2"]


ATTEMPTS = st.lists(
    st.builds(
        lambda candidate, case, hour, mark, finished: (candidate, case, hour, mark, finished),
        st.sampled_from(["14", "014", "15", ""]), st.sampled_from("ab"), st.none() | st.integers(-3, 3),
        st.none() | st.integers(0, 3), st.booleans(),
    ),
    max_size=8,
)  # fmt: skip


@given(ATTEMPTS, st.sampled_from(RULES))
def test_the_rule_against_every_pair(
    rows: list[tuple[str, str, int | None, int | None, bool]], rule: str
) -> None:
    attempts = [attempt(n, c, case, hour, mark, done) for n, (c, case, hour, mark, done) in enumerate(rows)]
    found = counted(attempts, rule_of(rule))
    assert [each.attempt for each in found] == attempts
    for one in found:
        for other in found:
            same = (candidate_key(one.attempt.candidate), one.attempt.case) == (
                candidate_key(other.attempt.candidate),
                other.attempt.case,
            )
            if one is other or not same or not one.attempt.candidate or rule == "all":
                continue
            assert not (one.counts and other.counts)
            if one.counts and one.attempt.finished == other.attempt.finished:
                assert not better(other.attempt, one.attempt, rule)
            assert not (one.counts and not one.attempt.finished and other.attempt.finished)
    groups = {(candidate_key(a.candidate), a.case) for a in attempts}
    assert {(candidate_key(e.attempt.candidate), e.attempt.case) for e in found if e.counts} == groups


def better(one: Attempt, other: Attempt, rule: str) -> bool:
    """Said once more, without an order."""
    if rule == "best" and one.mark != other.mark:
        return one.mark is not None and (other.mark is None or one.mark > other.mark)
    if rule == "best" or one.begun is None or other.begun is None:
        return False
    return one.begun < other.begun if rule == "first" else one.begun > other.begun


def test_late_ones_are_marked_and_still_count() -> None:
    found = counted([attempt(1), attempt(2, hour=2), attempt(3, hour=None)], "all", NOON + timedelta(hours=1))
    assert [(each.late, each.counts) for each in found] == [(False, True), (True, True), (None, True)]


def test_a_moment_is_read() -> None:
    assert until_of("2026-11-27 17:00") == datetime(2026, 11, 27, 17).astimezone()
    assert until_of("2026-11-27T17:00+01:00") == datetime(2026, 11, 27, 16, tzinfo=UTC)
    day = until_of(" 2026-11-27 ")
    assert datetime(2026, 11, 27, 23, 59).astimezone() < day < datetime(2026, 11, 28).astimezone()


@pytest.mark.parametrize(
    "text", ["", "tomorrow", "27.11.2026", "2026-13-01", "0001-01-01T00:00+23:00", "9" * 5000]
)
def test_what_is_no_moment_is_told(text: str) -> None:
    with pytest.raises(UsageError, match=r"expected 2026-11-27 17:00\.$"):
        until_of(text)


def test_a_rule_that_is_none_is_told() -> None:
    assert rule_of(" Best ") == "best"
    with pytest.raises(UsageError, match="nearest: last"):
        rule_of("lasst")


# real logs


@pytest.fixture
def place(tmp_path: Path) -> Home:
    return Home(tmp_path / "share")


def judged(place: Home, rule: str = "last") -> dict[str, Counted]:
    taken, _ = split(place.root, place=place)
    return {each.attempt.called[:4]: each for each in counted(map(attempt_of, taken), rule_of(rule))}


def test_a_copy_that_is_not_yet_so_far_does_not_count(place: Home) -> None:
    path = worked(place, GIVEN_UP)
    shutil.copy(path, path.with_name("0009-early.jsonl"))
    with Journal(path, new=False) as journal:
        journal.append("resumed", {})
    found = judged(place, "all")
    assert found["0001"].counts and not found["0001"].why
    assert (found["0009"].counts, found["0009"].why) == (False, "an earlier copy of 0001-hot-cart.jsonl.")


def test_one_session_that_was_worked_twice_is_told(place: Home) -> None:
    path = worked(place, GIVEN_UP)
    lines = len(path.read_bytes().splitlines())
    shutil.copy(path, path.with_name("0009-again.jsonl"))
    for name, text in ((path.name, "one way"), ("0009-again.jsonl", "another way")):
        with Journal(path.with_name(name), new=False) as journal:
            journal.append("noted", {"text": text})
    found = judged(place, "all")
    assert (
        found["0001"].why == f"parts from 0009-again.jsonl at line {lines + 1}: one session was worked twice."
    )
    assert all(each.counts for each in found.values())


def test_a_log_under_another_number_is_told(place: Home) -> None:
    path = worked(place, BY_LUCK)
    shutil.copy(path, path.with_name("0009-mine.jsonl"))
    begun_with(path.with_name("0009-mine.jsonl"), candidate="22")
    found = judged(place)
    assert found["0009"].why == "the same to the second as 0001-hot-cart.jsonl of candidate 14."
    assert all(each.counts and each.why for each in found.values())


def test_two_people_who_do_the_same_are_not_one(place: Home) -> None:
    worked(place, BY_LUCK, "14", now=lambda: "2026-11-20T10:00:00+01:00")
    worked(place, BY_LUCK, "22", now=lambda: "2026-11-20T10:00:01+01:00")
    assert all(not each.why for each in judged(place).values())
