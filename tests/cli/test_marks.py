"""``faultiso marks``: propose, confirm, grade again, as an instructor types it."""

from __future__ import annotations

import io
import json
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from faultiso.assessment import rubric
from faultiso.assessment.confirming import chosen, confirm_all
from faultiso.assessment.moderation import Marks
from faultiso.assessment.proposing import proposed
from faultiso.assessment.replaying import read_marks
from faultiso.casebook.library import case_files
from faultiso.cli.app import run
from faultiso.session.home import Home
from tests.assessment.class_of import BY_LUCK, CART, GIVEN_UP, WHOLE, worked
from tests.cli.test_start_up import HEAVY, Run, loaded_by

Said = tuple[int, str, str]


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with logs, and a file of marks with what was proposed for them."""
    room = tmp_path_factory.mktemp("class")
    place = Home(room / "monday")
    worked(place, WHOLE, "14")
    worked(place, BY_LUCK, "15")
    worked(place, ("overheat light", "dispute 1", "it was dark", "refer"), "16")
    worked(place, GIVEN_UP, "17")
    assert run(["marks", "propose", str(room / "marks.jsonl"), str(room / "monday")]) == 0
    return room


@pytest.fixture
def room(graded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "own"))
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"")))
    shutil.copytree(graded, tmp_path / "a class")
    (tmp_path / "a class" / "crew.csv").write_text("candidate,name\n14,Reed\n15,Tarn\n", encoding="utf-8")
    return tmp_path / "a class"


@pytest.fixture
def say(room: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    """``say("confirm", "14", "--by", "MK")``: exit code, stdout, stderr."""

    def run_marks(command: str, *words: str, answers: str | None = None) -> Said:
        if answers is not None:
            (room / "answers").write_text(answers, encoding="utf-8")
            words = (*words, "--answers", str(room / "answers"))
        capsys.readouterr()
        code = run(["marks", command, str(room / "marks.jsonl"), *words])
        out, err = capsys.readouterr()
        return code, " ".join(out.split()), " ".join(err.split())

    return run_marks


def states(room: Path) -> dict[str, str]:
    return {each.candidate: each.state for each in read_marks(room / "marks.jsonl").values()}


def test_proposals_are_made_once_and_unfinished_logs_are_told(room: Path, say: Callable[..., Said]) -> None:
    assert states(room) == {"14": "proposed", "15": "proposed", "16": "proposed"}
    before = (room / "marks.jsonl").read_bytes()
    code, out, err = say("propose", str(room / "monday"), "--roster", str(room / "crew.csv"))
    assert (code, (room / "marks.jsonl").read_bytes()) == (0, before)
    assert (
        "unfinished at 0 min; no mark" in err
        and "14 Reed" in out
        and "Only confirmed marks are results" in out
    )
    assert b"Reed" not in before
    (room / "monday" / "odd.jsonl").write_bytes(b"x\n")
    code, _, err = say("propose", str(room / "monday"))
    assert code == 1 and "odd.jsonl: this is not the log of a session" in err


def test_one_session_is_changed_and_confirmed(room: Path, say: Callable[..., Said]) -> None:
    words = ("15", "--set", "evidence=4", "--set", "write_up=5", "--because", "heard him", "--by", "MK")
    code, out, _ = say("confirm", *words)
    assert code == 0 and "1 session: 1 confirmed" in out
    (standing,) = (each for each in read_marks(room / "marks.jsonl").values() if each.candidate == "15")
    assert standing.is_result
    assert [(c.criterion, c.new, c.because, c.by) for c in standing.changes] == [
        ("evidence", 4, "heard him", "MK"),
        ("write_up", 5, "heard him", "MK"),
    ]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("15",), "--by WHO"),
        (("15", "--set", "evidence=4", "--by", "MK"), "--because TEXT"),
        (("15", "--set", "evidence", "--because", "x", "--by", "MK"), "expected CRITERION=POINTS"),
        (
            ("15", "--set", "evidence=4", "--set", "safty=1", "--because", "x", "--by", "MK"),
            "nearest: safety",
        ),
        (("--set", "evidence=4", "--because", "x", "--by", "MK"), "add CANDIDATE or --case CASE"),
        (("99", "--by", "MK"), "there are 14, 15 and 16"),
        (("15", "--case", "hot-kart", "--by", "MK"), "nearest: hot-cart"),
    ],
)
def test_what_cannot_be_done_is_told_and_nothing_is_written(
    words: tuple[str, ...], says: str, room: Path, say: Callable[..., Said]
) -> None:
    before = (room / "marks.jsonl").read_bytes()
    code, out, err = say("confirm", *words)
    assert code == 2 and says in err and not out
    assert (room / "marks.jsonl").read_bytes() == before


def test_all_leaves_what_has_to_be_looked_at(room: Path, say: Callable[..., Said]) -> None:
    code, _, err = say("confirm", "--all", "--by", "MK")
    after = states(room)
    left = [number for number, state in after.items() if state == "proposed"]
    assert code == 0 and "16" in left
    assert all(f"left for a look: {number}, hot-cart" in err for number in left)
    code, _, _ = say("confirm", "16", "--all", "--by", "MK")
    assert code == 0 and states(room)["16"] == "confirmed"


def test_it_asks_and_never_confirms_past_a_look_by_enter(room: Path, say: Callable[..., Said]) -> None:
    answers = "\nwhat\nset evidence 4\nlistened\nset evidence 400\nconfirm\nskip\nquit\n"
    code, _, err = say("confirm", "--by", "MK", "--roster", str(room / "crew.csv"), answers=answers)
    assert code == 0 and "Look at first" in err and "1 of 3" in err
    assert err.count("Expected: confirm; set CRITERION POINTS") == 2
    assert "expected 0 to 20" in err and "set by MK" in err
    assert list(states(room).values()).count("confirmed") == 1


def test_enter_confirms_what_needs_no_look(room: Path, say: Callable[..., Said]) -> None:
    with Marks(room / "marks.jsonl") as marks:
        confirm_all(marks, chosen(marks, "16"), "MK", unseen=True)
        confirm_all(marks, chosen(marks, "15"), "MK", unseen=True)
        looked = [each for each in marks.standing.values() if each.candidate == "14"]
        clear = not looked[0].attention and not looked[0].gates
    say("confirm", "--by", "MK", answers="\nquit\n")
    assert states(room)["14"] == ("confirmed" if clear else "proposed")


def test_answers_that_run_out_leave_what_was_decided(room: Path, say: Callable[..., Said]) -> None:
    code, _, err = say("confirm", "--by", "MK", answers="confirm\n")
    assert code == 2 and "The answers ran out at an open question: marks of" in err
    assert list(states(room).values()).count("confirmed") == 1


def test_withdrawing_needs_a_reason(room: Path, say: Callable[..., Said]) -> None:
    say("confirm", "15", "--by", "MK", answers="withdraw\n \nwithdraw\nnot his log\n")
    assert states(room)["15"] == "withdrawn"


def test_json_is_one_document(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["marks", "confirm", str(room / "marks.jsonl"), "14", "--all", "--by", "MK", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert [(each["id"], each["result"]) for each in data["marks"]] == [
        ("14", True),
        ("15", False),
        ("16", False),
    ]
    assert "Reed" not in json.dumps(data)


def test_asking_needs_no_arrays(room: Path, faultiso: Run) -> None:
    (room / "answers").write_text("confirm\nquit\n", encoding="utf-8")
    words = ("marks", "confirm", str(room / "marks.jsonl"), "--by", "MK", "--answers", str(room / "answers"))
    assert loaded_by(faultiso, *words) & (HEAVY - {"typer", "yaml"}) == set()
    assert list(states(room).values()).count("confirmed") == 1


# again


def test_again_by_the_same_rubric_moves_nothing(room: Path, say: Callable[..., Said]) -> None:
    say("confirm", "14", "--all", "--by", "MK")
    before = (room / "marks.jsonl").read_bytes()
    code, out, _ = say("again", str(room / "monday"), "--because", "checked", "--by", "MK")
    assert code == 0 and "3 sessions: 0 moved, 3 the same" in out
    assert (room / "marks.jsonl").read_bytes() == before


def test_another_rubric_moves_marks_and_asks_for_confirmation(room: Path, say: Callable[..., Said]) -> None:
    say("confirm", "14", "--all", "--by", "MK")
    default = Path(rubric.__file__).with_name("rubrics") / "default.yaml"
    text = (
        default.read_text("utf-8")
        .replace("safety: 25 ", "safety: 5 ")
        .replace("evidence: 20 ", "evidence: 40 ")
    )
    (room / "spring.yaml").write_text(text, encoding="utf-8")
    words = ("--rubric", str(room / "spring.yaml"), "--because", "spring", "--by", "MK")
    code, out, _ = say("again", str(room / "monday"), *words, "--roster", str(room / "crew.csv"))
    assert code == 0 and "another rubric: spring" in out and "14 Reed, hot-cart" in out
    assert states(room)["14"] == "proposed"


def test_again_goes_on_with_the_rubric_that_was_used_last(room: Path, say: Callable[..., Said]) -> None:
    why = ("--because", "x", "--by", "MK")
    assert say("again", str(room / "monday"), "--rubric", "examination", *why)[0] == 0
    names = {each.grade["rubric"] for each in read_marks(room / "marks.jsonl").values()}
    code, out, _ = say("again", str(room / "monday"), *why)
    assert code == 0 and "3 sessions: 0 moved, 3 the same" in out and names == {"examination"}
    assert {each.grade["rubric"] for each in read_marks(room / "marks.jsonl").values()} == names
    text = (Path(rubric.__file__).with_name("rubrics") / "default.yaml").read_text("utf-8")
    (room / "own.yaml").write_text(text.replace("pass_mark: 60", "pass_mark: 61"), encoding="utf-8")
    assert say("again", str(room / "monday"), "--rubric", str(room / "own.yaml"), *why)[0] == 0
    code, _, err = say("again", str(room / "monday"), *why)
    assert code == 2 and "Which rubric? It was graded by default before" in err


def test_a_file_of_marks_that_was_cut_off_is_refused_and_left_alone(
    room: Path, say: Callable[..., Said], capsys: pytest.CaptureFixture[str]
) -> None:
    marks = room / "marks.jsonl"
    cut = marks.read_bytes()[:-20]
    marks.write_bytes(cut)
    code, _, err = say("confirm", "14", "--all", "--by", "MK")
    assert code == 2 and "its last line is cut off" in err and marks.read_bytes() == cut
    assert run(["grade", str(room / "monday"), "--marks", str(marks)]) == 2
    assert "its last line is cut off" in " ".join(capsys.readouterr().err.split())


def test_a_corrected_case_is_graded_by(room: Path, say: Callable[..., Said]) -> None:
    text = case_files()[CART].read_text("utf-8")
    (room / f"{CART}.yaml").write_text(
        text.replace("[fan_thermostat.stays_open]", "[fan.failed]"), encoding="utf-8"
    )
    words = ("--case", str(room / f"{CART}.yaml"), "--because", "it was beyond them", "--by", "MK")
    code, out, err = say("again", str(room / "monday"), *words)
    assert code == 0, err
    assert "a corrected case: it was beyond them" in out and "conclusion" in out


def test_a_case_is_withdrawn(room: Path, say: Callable[..., Said]) -> None:
    say("confirm", "14", "--all", "--by", "MK")
    code, out, _ = say("again", "--withdraw", CART, "--because", "wrong truth", "--by", "MK")
    assert code == 0 and "1 result to be confirmed anew or gone" in out and "14, hot-cart" in out
    assert set(states(room).values()) == {"withdrawn"}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--because", "x", "--by", "MK"), "Name the folders"),
        ((".", "--by", "MK"), "--because TEXT"),
        ((".", "--because", "x"), "--by WHO"),
        ((".", "--because", "x", "--by", "MK", "--withdraw", CART), "CASE, not both"),
        (("--because", "x", "--by", "MK", "--withdraw", "hot-cat"), f'case "hot-cat"; nearest: {CART}'),
        (("--because", "x", "--by", "MK", "--withdraw", "zzz"), f"there are marks of {CART}"),
        ((".", "--because", "x", "--by", "MK", "--rubric", "examinaton"), "nearest: examination"),
    ],
)
def test_again_needs_all_it_needs(words: tuple[str, ...], says: str, say: Callable[..., Said]) -> None:
    code, _, err = say("again", *words)
    assert code == 2 and says in err


def test_logs_that_are_missing_are_told(room: Path, say: Callable[..., Said]) -> None:
    next((room / "monday").rglob("0002-*.jsonl")).unlink()
    code, out, _ = say("again", str(room / "monday"), "--because", "x", "--by", "MK")
    assert code == 1 and "15, hot-cart" in out and "its log was not found" in out


def test_a_slip_in_the_name_makes_no_new_file(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for command in ("confirm", "again"):
        words = ["marks", command, str(room / "mraks.jsonl"), str(room), "--because", "x", "--by", "MK"]
        assert run(words) == 2
        assert "there is no such file of marks" in " ".join(capsys.readouterr().err.split())
    assert not (room / "mraks.jsonl").exists()


def test_a_grader_that_fails_is_told(room: Path, tmp_path: Path) -> None:
    from faultiso.assessment.submissions import submissions

    def grader(submission: object) -> object:
        raise KeyError(submission)

    with Marks(tmp_path / "m.jsonl") as marks:
        left = list(proposed(marks, submissions([room / "monday"]), grader, "r"))  # type: ignore[arg-type]
        assert [each.settled for each in left] == [False, False, False, True]
        assert "could not be judged (KeyError)" in left[0].sentence
        assert not marks.standing


def class_of(room: Path, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[int, dict[str, object]]:
    capsys.readouterr()
    code = run(["grade", str(room / "monday"), "--marks", str(room / "marks.jsonl"), "--json", *more])
    return code, json.loads(capsys.readouterr().out)


def sessions_of(found: dict[str, object]) -> dict[str, dict[str, object]]:
    people: list[dict[str, list[dict[str, object]]]] = found["people"]  # type: ignore[assignment]
    return {str(person["id"]): person["cases"][0] for person in people}


def test_a_class_report_has_results_where_marks_were_confirmed(
    room: Path, say: Callable[..., Said], capsys: pytest.CaptureFixture[str]
) -> None:
    _, before = class_of(room, capsys)
    say("confirm", "15", "--set", "conclusion=20", "--because", "as he said", "--by", "MK")
    say("confirm", "14", "--by", "MK", "--all")
    _, after = class_of(room, capsys, "--csv", str(room / "m.csv"))
    assert (before["confirmed"], after["confirmed"], after["proposed"]) == (0, 2, True)
    old, new = sessions_of(before), sessions_of(after)
    stands = {each.candidate: each for each in read_marks(room / "marks.jsonl").values()}
    assert new["15"]["criteria"]["conclusion"] == [20.0, 20.0]  # type: ignore[index]
    assert new["15"]["mark"] == pytest.approx(stands["15"].mark, abs=0.06)
    assert new["15"]["mark"] > old["15"]["mark"]  # type: ignore[operator]
    assert new["14"]["mark"] == old["14"]["mark"] and new["16"] == old["16"]
    assert str(new["15"]["confirmed_by"]).startswith("MK, 20") and new["16"]["confirmed_by"] is None
    rows = (room / "m.csv").read_text(encoding="utf-8-sig").splitlines()
    place = rows[1].split(",").index('"confirmed by"')
    assert [row.split('","')[0].strip('"') for row in rows[2:] if '"MK, 20' in row] == ["14", "15"] and place


def test_what_was_withdrawn_has_no_mark_in_a_class(
    room: Path, say: Callable[..., Said], capsys: pytest.CaptureFixture[str]
) -> None:
    case = next(iter(read_marks(room / "marks.jsonl").values())).case
    say("again", "--withdraw", case, "--because", "it was wrong", "--by", "MK")
    _, found = class_of(room, capsys)
    assert found["graded"] == 0
    kinds = {(each["kind"], each["sentence"]) for each in found["aside"]}  # type: ignore[attr-defined]
    assert ("withdrawn", "withdrawn by MK: it was wrong") in kinds


def test_a_class_says_how_many_marks_are_confirmed(
    room: Path, say: Callable[..., Said], capsys: pytest.CaptureFixture[str]
) -> None:
    words = [
        "grade",
        str(room / "monday"),
        "--marks",
        str(room / "marks.jsonl"),
        "--html",
        str(room / "c.html"),
    ]
    say("confirm", "14", "--by", "MK", "--all")
    run(words)
    assert "3 graded (1 confirmed, 2 proposed)" in capsys.readouterr().out
    assert "confirmed by" in (room / "c.html").read_text(encoding="utf-8")
    for number in ("15", "16"):
        say("confirm", number, "--by", "MK", "--all")
    run(words)
    assert "3 graded (confirmed)" in capsys.readouterr().out


def test_a_file_of_marks_that_is_none_is_told_before_anything_is_judged(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("none.jsonl", "crew.csv"):
        capsys.readouterr()
        assert run(["grade", str(room / "monday"), "--marks", str(room / name)]) == 2
        told = capsys.readouterr().err
        assert name in told and "Traceback" not in told
