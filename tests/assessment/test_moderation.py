"""Marks are proposed, confirmed, changed, withdrawn: lines are added, both values stay, results are confirmed ones."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.grade import Grade, Mark, Reason, record
from faultiso.assessment.moderation import Marks, to_look_at
from faultiso.assessment.regrading import Again, Regraded, regraded, withdrawn
from faultiso.assessment.replaying import read_marks
from faultiso.assessment.roster import read_roster
from faultiso.assessment.standing import GATES, MarksError, Standing
from faultiso.assessment.submissions import Submission, submissions
from faultiso.assessment.verdict import Verdict
from faultiso.base.journal import InUse, JournalError, read, verify
from faultiso.base.problems import UsageError
from faultiso.session.home import Home
from tests.assessment.class_of import BY_LUCK, GIVEN_UP, case_of, sealed_anew, split, worked, written

WEIGHTS = {"evidence": 20.0, "conclusion": 20.0, "safety": 25.0, "write_up": 5.0}


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Home:
    found = Home(tmp_path_factory.mktemp("class"))
    for candidate in ("14", "15", "16"):
        worked(found, BY_LUCK if candidate != "16" else GIVEN_UP, candidate)
    return found


@pytest.fixture
def class_(place: Home) -> list[Submission]:
    return split(place.sessions, place=place)[0]


@pytest.fixture
def marks(tmp_path: Path) -> Iterator[Marks]:
    with Marks(tmp_path / "marks.jsonl") as found:
        yield found


def graded(
    submission: Submission, evidence: float = 0.5, conclusion: float = 1.0, gates: tuple[str, ...] = (),
    attention: tuple[str, ...] = (), weights: dict[str, float] = WEIGHTS, pass_mark: float = 60.0,
) -> Grade:  # fmt: skip
    """A stub: shares as given, the write-up by hand, safety not judged."""
    marks = (
        Mark("evidence", evidence, (Reason("You removed it on one reading.", 6, 27),)),
        Mark("conclusion", conclusion),
        Mark("safety", None, (Reason("The mode asks for no hazards."),)),
        Mark("write_up", None, by_hand=True),
    )
    said = tuple(Reason(each) for each in attention)
    verdict = Verdict("referred", False, (), (), ())
    return Grade(
        case=submission.case.name, candidate=submission.candidate, session=submission.path.stem, rubric="default",
        marks=marks, weights=weights, pass_mark=pass_mark, verdict=verdict, minutes=31.0,
        gates=tuple(Reason(each) for each in gates), attention=said,
    )  # fmt: skip


def proposed(marks: Marks, submission: Submission, **given: object) -> Standing:
    standing = marks.propose(submission, graded(submission, **given), "r1")  # type: ignore[arg-type]
    assert standing is not None
    return standing


def test_only_confirmed_marks_are_results(marks: Marks, class_: list[Submission]) -> None:
    standing = proposed(marks, class_[0])
    assert (standing.mark, standing.passed, standing.state, standing.is_result) == (
        75.0,
        True,
        "proposed",
        False,
    )
    standing = marks.confirm(class_[0].seal, "M. K.")
    assert standing.is_result and standing.confirmed is not None
    assert (standing.confirmed.by, standing.state) == ("M. K.", "confirmed")


def test_what_stands_is_what_the_grade_said(marks: Marks, class_: list[Submission]) -> None:
    grade = graded(class_[0], evidence=0.333)
    standing = marks.propose(class_[0], grade, "r1")
    assert standing is not None and standing.grade == {**record(grade), "session": class_[0].receipt}
    assert standing.mark == round(grade.total, 1) and standing.passed == grade.passed
    assert [(p.points, p.out_of) for p in standing.points] == [(6.66, 20), (20, 20), (None, 25), (None, 5)]


def test_a_change_keeps_both_values_and_needs_a_new_confirmation(
    marks: Marks, class_: list[Submission]
) -> None:
    seal = class_[0].seal
    proposed(marks, class_[0])
    marks.confirm(seal, "MK")
    standing = marks.change(seal, "Evidence", 4, "step 3 was luck", "MK")
    assert not standing.is_result and standing.mark == 60.0
    standing = marks.change(seal, "evidence", 6, "heard the candidate", "AB")
    assert [(c.old, c.new, c.proposed, c.because, c.by) for c in standing.changes] == [
        (10, 4, 10, "step 3 was luck", "MK"),
        (4, 6, 10, "heard the candidate", "AB"),
    ]
    assert standing.mark == 65.0 and standing.points[0].proposed == 10
    assert len(standing.confirmations) == 1 and not standing.is_result


def test_the_write_up_counts_once_it_is_marked(marks: Marks, class_: list[Submission]) -> None:
    proposed(marks, class_[0])
    standing = marks.change(class_[0].seal, "write-up", 0, "none written", "MK")
    assert standing.mark == round(100 * 30 / 45, 1)


def test_gates_fail_and_can_be_lifted(marks: Marks, class_: list[Submission]) -> None:
    standing = proposed(marks, class_[0], gates=("propeller arc not named",))
    assert standing.mark == 75 and not standing.passed
    with pytest.raises(UsageError, match="expected 0, which lifts them"):
        marks.change(class_[0].seal, GATES, 1, "x", "MK")
    standing = marks.change(class_[0].seal, GATES, 0, "it was named aloud", "MK")
    assert standing.passed and standing.gates == () and standing.grade["gates"]


@pytest.mark.parametrize(
    ("criterion", "points", "because", "by", "says"),
    [
        ("evidance", 1, "x", "MK", "nearest: evidence"),
        ("gates", 0, "x", "MK", "no criterion is called"),
        ("evidence", 20.5, "x", "MK", "expected 0 to 20"),
        ("evidence", -1, "x", "MK", "expected 0 to 20"),
        ("evidence", float("nan"), "x", "MK", "cannot be set"),
        ("evidence", 1, " \n", "MK", "--because TEXT"),
        ("evidence", 1, "x", "\u202e", "--by WHO"),
    ],
)
def test_what_cannot_be_set_is_told_and_nothing_is_written(
    criterion: str, points: float, because: str, by: str, says: str, marks: Marks, class_: list[Submission]
) -> None:
    proposed(marks, class_[0])
    before = marks.path.read_bytes()
    with pytest.raises(UsageError, match=says):
        marks.change(class_[0].seal, criterion, points, because, by)
    assert marks.path.read_bytes() == before


def test_what_was_not_proposed_or_was_withdrawn_cannot_be_confirmed(
    marks: Marks, class_: list[Submission]
) -> None:
    with pytest.raises(UsageError, match="nothing was proposed"):
        marks.confirm(class_[0].seal, "MK")
    proposed(marks, class_[0])
    standing = marks.withdraw(class_[0].seal, "the case was wrong", "MK")
    assert standing.state == "withdrawn" and not standing.is_result
    with pytest.raises(UsageError, match="the case was wrong"):
        marks.confirm(class_[0].seal, "MK")
    assert marks.propose(class_[0], graded(class_[0]), "r1") is None
    again = marks.propose(class_[0], graded(class_[0]), "r1", "the case is right after all", "MK")
    assert again is None or again.state == "proposed"


def test_the_same_proposal_again_writes_nothing(marks: Marks, class_: list[Submission]) -> None:
    proposed(marks, class_[0])
    before = marks.path.read_bytes()
    assert marks.propose(class_[0], graded(class_[0]), "r1") is None
    assert marks.path.read_bytes() == before


def test_what_has_to_be_looked_at_comes_first(marks: Marks, class_: list[Submission]) -> None:
    first, second, third = class_
    proposed(marks, first)
    proposed(marks, second, evidence=0.0, gates=("arc",))
    proposed(marks, third, evidence=1.0, attention=("disputes a reading, line 33",))
    assert [each.candidate for each in to_look_at(marks.standing.values())] == ["16", "15", "14"]
    marks.confirm(third.seal, "MK")
    marks.withdraw(second.seal, "x", "MK")
    assert [each.candidate for each in to_look_at(marks.standing.values())] == ["14"]


def test_a_name_that_is_erased_leaves_logs_and_marks_valid(
    place: Home, tmp_path: Path, class_: list[Submission]
) -> None:
    crew, path = tmp_path / "crew.csv", tmp_path / "marks.jsonl"
    crew.write_text("candidate,name\n14,Ada Reed\n15,Tarn\n", encoding="utf-8")
    copy = tmp_path / "Ada Reed.jsonl"  # people call their files as they like
    shutil.copy(class_[0].path, copy)
    (named,) = split(copy, place=place)[0]
    with Marks(path) as marks:
        proposed(marks, named)
        marks.confirm(named.seal, "MK")
    assert read_roster(crew).name(named.candidate) == "Ada Reed"
    assert b"Reed" not in path.read_bytes() and b"Reed" not in copy.read_bytes()
    crew.write_text("candidate,name\n15,Tarn\n", encoding="utf-8")
    assert read_roster(crew).shown(named.candidate) == "14"
    assert verify(path) == () and verify(copy) == ()
    (standing,) = read_marks(path).values()
    assert standing.is_result and standing.candidate == "14" and standing.seal == named.seal


# the file


def test_it_is_gone_on_with(tmp_path: Path, class_: list[Submission]) -> None:
    path = tmp_path / "marks.jsonl"
    with Marks(path) as marks:
        proposed(marks, class_[0])
        with pytest.raises(InUse):
            Marks(path)
    with Marks(path) as marks:
        assert marks.standing == read_marks(path)
        marks.confirm(class_[0].seal, "MK")
    assert "not approved maintenance data" in read(path)[0].data["notice"]


def test_other_files_are_refused_untouched(tmp_path: Path, class_: list[Submission]) -> None:
    copy = tmp_path / "log.jsonl"
    copy.write_bytes(class_[0].path.read_bytes()[:-9])
    before = copy.read_bytes()
    with pytest.raises(MarksError, match="line 1: this is no file of marks"):
        Marks(copy)
    assert copy.read_bytes() == before


def test_an_altered_line_is_named(tmp_path: Path, class_: list[Submission]) -> None:
    path = tmp_path / "marks.jsonl"
    with Marks(path) as marks:
        proposed(marks, class_[0])
    path.write_bytes(path.read_bytes().replace(b'"points":10.0', b'"points":19.0'))
    with pytest.raises(JournalError, match="line 2 was altered"):
        read_marks(path)


@pytest.mark.parametrize(
    ("event", "data"),
    [
        ("no such", {"seal": "a"}),
        ("confirmed", {"seal": "a", "by": "MK"}),
        ("proposed", {}),
        ("proposed", {"seal": [], "grade": {}}),
        (
            "proposed",
            {"seal": "a", "grade": {}, "receipt": "", "pass_mark": 1, "rubric": "", "case": "", "model": ""},
        ),
        (
            "proposed",
            {
                "seal": "a",
                "grade": None,
                "receipt": "",
                "pass_mark": 10**400,
                "rubric": "",
                "case": "",
                "model": "",
            },
        ),
        ("marks began", {"format": 1}),
    ],
)
def test_lines_that_make_no_sense_are_named(event: str, data: dict[str, object], tmp_path: Path) -> None:
    path = written(tmp_path / "marks.jsonl", ("marks began", {"format": 1}), (event, data))
    with pytest.raises(MarksError, match="line 2"):
        read_marks(path)


def test_a_file_of_a_later_version_is_refused(tmp_path: Path) -> None:
    with pytest.raises(MarksError, match="line 1"):
        read_marks(written(tmp_path / "marks.jsonl", ("marks began", {"format": 2})))


@pytest.mark.parametrize(
    "change", [{"new": "4"}, {"new": True}, {"of": None}, {"because": None, "new": None}]
)
def test_a_change_that_makes_no_sense_is_named(
    change: dict[str, object], tmp_path: Path, class_: list[Submission]
) -> None:
    path = tmp_path / "marks.jsonl"
    with Marks(path) as marks:
        proposed(marks, class_[0])
        marks.change(class_[0].seal, "evidence", 4, "x", "MK")
    sealed_anew(path, lambda n, line: {**line, "data": {**line["data"], **change}} if n == 3 else line)
    with pytest.raises(MarksError, match="line 3"):
        read_marks(path)


DEEDS = st.lists(
    st.one_of(
        st.tuples(st.just("propose"), st.sampled_from([0.0, 0.5, 1.0]), st.sampled_from(["r1", "r2"])),
        st.tuples(st.just("change"), st.sampled_from(["evidence", "write_up", "safety"]), st.integers(0, 5)),
        st.tuples(st.just("confirm"), st.none(), st.none()),
        st.tuples(st.just("withdraw"), st.none(), st.none()),
    ),
    max_size=8,
)


@given(DEEDS)
def test_lines_are_only_added_and_their_replay_is_what_stands(
    deeds: list[tuple[str, object, object]],
) -> None:
    submission = one()
    with TemporaryDirectory() as folder, Marks(Path(folder) / "marks.jsonl") as marks:
        proposed(marks, submission)
        by_hand: dict[str, int] = {}
        share, sure, gone = 0.5, False, False
        for what, first, second in deeds:
            before = marks.path.read_bytes()
            try:
                _do(marks, submission, what, first, second)
            except UsageError:
                assert gone
                continue
            finally:
                assert marks.path.read_bytes().startswith(before)
            if what == "propose" and not gone:
                sure, share = sure and first == share, first  # type: ignore[assignment]
            elif what == "change":
                by_hand[str(first)], sure = second, False  # type: ignore[assignment]
            sure, gone = sure or what == "confirm", gone or what == "withdraw"
        standing = marks.standing[submission.seal]
        assert standing == read_marks(marks.path)[submission.seal]
        assert standing.is_result == (sure and not gone) and (standing.withdrawn is not None) == gone
        evidence = by_hand.get("evidence", 20 * share)
        points = [(evidence, 20), (20, 20), (by_hand.get("safety"), 25), (by_hand.get("write_up"), 5)]
        judged = [(p, of) for p, of in points if p is not None]
        assert standing.mark == round(100 * sum(p for p, _ in judged) / sum(of for _, of in judged), 1)


def _do(marks: Marks, submission: Submission, what: str, first: object, second: object) -> None:
    match what:
        case "propose":
            marks.propose(submission, graded(submission, evidence=first), str(second))  # type: ignore[arg-type]
        case "change":
            marks.change(submission.seal, str(first), float(second), "so", "MK")  # type: ignore[arg-type]
        case "confirm":
            marks.confirm(submission.seal, "MK")
        case _:
            marks.withdraw(submission.seal, "so", "MK")


@cache
def one() -> Submission:
    with TemporaryDirectory() as folder:
        place = Home(Path(folder))
        worked(place, GIVEN_UP)
        (found,) = submissions([place.sessions], place=place)
    assert isinstance(found, Submission)
    return found


# grading again


def again(
    marks: Marks, class_: list[Submission], grader: Callable[[Submission], Grade], rubric: str = "r2"
) -> list[Regraded]:
    return list(regraded(marks, class_, Again(grader, rubric, "weights of the spring", "MK")))


@pytest.fixture
def settled(marks: Marks, class_: list[Submission]) -> Marks:
    """Three sessions with confirmed marks; of the second evidence was set by hand."""
    for each in class_:
        proposed(marks, each)
    marks.change(class_[1].seal, "evidence", 12, "heard the candidate", "MK")
    for each in class_:
        marks.confirm(each.seal, "MK")
    return marks


def test_what_did_not_move_stays_confirmed(settled: Marks, class_: list[Submission]) -> None:
    found = again(settled, class_, graded)
    assert [each.state for each in found] == ["same"] * 3
    assert all(standing.is_result for standing in settled.standing.values())
    assert settled.standing[class_[0].seal].digests["rubric"] == "r2"


def test_what_moved_is_told_with_both_values_and_the_reason(settled: Marks, class_: list[Submission]) -> None:
    found = again(settled, class_, lambda s: graded(s, evidence=0.1 if s.candidate == "14" else 0.5))
    assert [each.state for each in found] == ["moved", "same", "same"]
    assert [str(each) for each in found[0].moved] == [
        "mark: 75 -> 55",
        "passed: yes -> no",
        "evidence: 10 of 20 -> 2 of 20",
    ]
    assert found[0].why == "another rubric: weights of the spring" and found[0].was_result
    standing = settled.standing[class_[0].seal]
    assert not standing.is_result and len(standing.confirmations) == 1
    assert [each["grade"]["mark"] for each in standing.proposals] == [75.0, 55.0]
    line = json.loads(settled.path.read_bytes().splitlines()[standing.line - 1])
    assert line["data"]["because"] == "weights of the spring"


def test_what_was_set_by_hand_stands_and_is_looked_at_again(settled: Marks, class_: list[Submission]) -> None:
    found = again(settled, class_, lambda s: graded(s, evidence=0.1))
    standing = settled.standing[class_[1].seal]
    assert standing.points[0].points == 12 and standing.points[0].proposed == 2
    assert not standing.is_result
    assert standing.attention == ("evidence: 12 was set by hand when 10 was proposed; now 2 is.",)
    assert [each.what for each in found[1].moved] == ["to look at"]


def test_what_was_set_by_hand_falls_with_its_weight(settled: Marks, class_: list[Submission]) -> None:
    again(settled, class_, lambda s: graded(s, weights={**WEIGHTS, "evidence": 40.0}))
    standing = settled.standing[class_[1].seal]
    assert standing.points[0].points == 20 and standing.points[0].change is None
    assert standing.changes[0].new == 12 and not standing.is_result


def test_a_corrected_case_is_named_as_the_reason(settled: Marks, class_: list[Submission]) -> None:
    case, model = case_of()
    other = [
        replace(each, case=replace(case, digest="c2"), model=replace(model, digest="m2")) for each in class_
    ]
    found = again(settled, other, lambda s: graded(s, conclusion=0.0), "r1")
    assert {each.why for each in found} == {"a corrected case and a corrected model: weights of the spring"}


def test_logs_that_are_not_there_or_cannot_be_graded_are_told(
    settled: Marks, class_: list[Submission]
) -> None:
    def grader(submission: Submission) -> Grade:
        if submission.candidate == "15":
            raise UsageError("too long")
        return graded(submission)

    found = again(settled, class_[:2], grader)
    assert [(each.candidate, each.state) for each in found] == [
        ("14", "same"),
        ("15", "not graded"),
        ("16", "not graded"),
    ]
    assert found[1].why == "too long" and "not found" in found[2].why
    assert all(standing.is_result for standing in settled.standing.values())


def test_a_withdrawn_case_lists_everyone_it_takes_a_mark_from(
    settled: Marks, class_: list[Submission]
) -> None:
    settled.withdraw(class_[2].seal, "left", "MK")
    found = withdrawn(settled, "hot-cart", "its truth was wrong", "MK")
    assert [(each.candidate, each.was_result, str(each.moved[0])) for each in found] == [
        ("14", True, "mark: 75 -> none"),
        ("15", True, "mark: 80 -> none"),
    ]
    assert withdrawn(settled, "hot-cart", "again", "MK") == withdrawn(settled, "other", "x", "MK") == ()
    assert {each.state for each in again(settled, class_, graded)} == {"withdrawn"}
