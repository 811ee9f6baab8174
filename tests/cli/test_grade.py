"""``faultiso grade`` as a person runs it: a session, a class, files, exit codes, mistakes."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path

import pytest

from faultiso.cli.app import run
from faultiso.session.home import Home, find_log, hand_in
from tests.assessment.class_of import BY_LUCK, GIVEN_UP, WHOLE, sealed_anew, worked
from tests.report.test_debrief_pages import HOSTILE, is_alone_and_harmless

#: the whole way, every hazard named
CAREFUL = (*WHOLE[:7], "4 5 6", *WHOLE[8:13], "verify", "4 5 6 7 8 9", *WHOLE[15:])


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home folder with the logs of 14 (careful) and 22 (by luck)."""
    place = Home(tmp_path_factory.mktemp("made") / "home")
    worked(place, CAREFUL, "14")
    worked(place, BY_LUCK, "22")
    return place.root


@pytest.fixture
def logs(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The logs, in a home folder that a test may change."""
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    shutil.copytree(made, tmp_path / "home")
    return tmp_path / "home" / "sessions"


def test_a_session_that_passed_and_one_that_did_not(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["grade", "1"]) == 0
    out = capsys.readouterr().out
    assert "14, hot-cart: proposed" in out and "write-up (5) is yours to" in out
    assert run(["grade", str(logs / "0002-hot-cart.jsonl")]) == 1
    assert "Failed by a gate" in capsys.readouterr().out


def test_a_session_as_a_document_and_as_a_page(
    logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "one.html"
    assert run(["grade", "1", "--json", "--html", str(page)]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["passed"] is True and json.loads(out)["id"] == "14"
    assert str(page) in err.replace("\n", "")
    assert "hot-cart" in is_alone_and_harmless(page.read_text(encoding="utf-8")).words


def test_a_file_that_was_handed_in_is_a_session(logs: Path, tmp_path: Path) -> None:
    target = hand_in(Home(logs.parent), find_log(Home(logs.parent), "1"), tmp_path / "in")
    assert run(["grade", str(target)]) == 0


def test_a_folder_is_a_class(logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(tmp_path / name) for name in ("m.csv", "m.html")]
    (tmp_path / "crew.csv").write_text("candidate,name\n14,Reed\n22,Tarn\n23,Vale\n", encoding="utf-8")
    words = [
        "grade",
        str(logs),
        "--roster",
        str(tmp_path / "crew.csv"),
        "--csv",
        files[0],
        "--html",
        files[1],
    ]
    assert run(words) == 0
    out = capsys.readouterr().out
    assert "2 logs, 2 people, 1 case." in out and "22 Tarn" in out and "23 Vale" in out
    rows = list(csv.DictReader(Path(files[0]).read_text(encoding="utf-8-sig").splitlines()[1:]))
    assert [(row["candidate"], row["name"], row["passed"]) for row in rows[:2]] == [
        ("14", "Reed", "yes"),
        ("22", "Tarn", "no"),
    ]
    assert "Tarn" in is_alone_and_harmless(Path(files[1]).read_text(encoding="utf-8")).words


def test_who_is_below_sixty_can_be_picked_from_the_document(
    logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["grade", str(logs), "--json"]) == 0
    out, err = capsys.readouterr()
    assert err == "" and out.isascii()
    assert [person["id"] for person in json.loads(out)["people"] if person["mark"] < 60] == ["22"]


def test_several_sessions_are_a_class_and_every_one_counts_once(
    logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["grade", "1", "2", str(logs)]) == 0
    assert "2 logs, 2 people" in capsys.readouterr().out


def test_a_class_with_a_file_that_cannot_be_judged(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = logs / "0002-hot-cart.jsonl"
    path.write_bytes(path.read_bytes().replace(b'"22"', b'"23"'))
    assert run(["grade", str(logs)]) == 1
    out = capsys.readouterr().out
    assert "1 graded (proposed), 1 altered." in out and "0002-hot-cart.jsonl" in out


def test_an_unfinished_session_has_no_mark(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    worked(Home(logs.parent), GIVEN_UP, "30")
    assert run(["grade", "3"]) == 2
    assert "unfinished at 0 min; no mark" in capsys.readouterr().err
    assert run(["grade", str(logs)]) == 0
    assert "2 graded (proposed), 1 unfinished." in capsys.readouterr().out


def test_an_instructor_s_own_marks_and_an_earlier_class(
    logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(["grade", str(logs), "--json"])
    earlier, marks = tmp_path / "sunday.json", tmp_path / "marks.csv"
    earlier.write_text(capsys.readouterr().out, encoding="utf-8")
    marks.write_text("candidate,case,mark\n14,hot-cart,90\n22,hot-cart,20\n", encoding="utf-8")
    words = ["grade", str(logs), "--against", str(marks), "--earlier", str(earlier), "--json"]
    assert run(words) == 0
    data = json.loads(capsys.readouterr().out)
    assert len(data["agreement"]["pairs"]) == 2 and data["agreement"]["kappa"]["value"] > 0
    assert data["earlier"]["people"] == 2 and data["earlier"]["mean"] == data["mean"]


def test_without_names_neither_names_nor_files_are_told(
    logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "crew.csv").write_text("candidate,name\n14,Reed\n22,Tarn\n", encoding="utf-8")
    (logs / "0002-hot-cart.jsonl").rename(logs / "tarn.jsonl")
    outs = [str(tmp_path / name) for name in ("m.csv", "m.html")]
    words = ["grade", str(logs), "--roster", str(tmp_path / "crew.csv"), "--anonymous"]
    assert run([*words, "--csv", outs[0], "--html", outs[1]]) == 0
    assert run([*words, "--json"]) == 0
    told = capsys.readouterr().out + "".join(Path(out).read_text(encoding="utf-8") for out in outs)
    assert "Tarn" not in told and "tarn" not in told and "Reed" not in told and "22" in told


MISTAKES = [
    (["grade"], 2, "SESSION"),
    (["grade", "77"], 2, "There is no session 77"),
    (["grade", "none.jsonl"], 2, "there is no such file or folder"),
    (["grade", "EMPTY"], 2, "There is no log"),
    (["grade", "LOGS", "--rubric", "defalt"], 2, "nearest: default"),
    (["grade", "LOGS", "--keep", "frist"], 2, "nearest: first"),
    (["grade", "LOGS", "--until", "tomorrow"], 2, "is no moment"),
    (["grade", "LOGS", "--roster", "none.csv"], 2, "the roster cannot be read"),
    (["grade", "LOGS", "--against", "WRONG"], 1, 'no column is called "candidate"'),
    (["grade", "LOGS", "--receipts", "WRONG"], 1, 'no column is called "candidate"'),
    (["grade", "LOGS", "--roster", "WRONG"], 1, 'no column is called "candidate"'),
    (["grade", "LOGS", "--earlier", "WRONG"], 2, "no record of a class"),
    (["grade", "LOGS", "--html", "EMPTY"], 2, "could not be written"),
    (["grade", "LOGS", "--csv", "EMPTY/a/b.csv"], 2, "could not be written"),
    (["grade", "LOGS", "--key-file", "none.key"], 2, "none.key"),
]


@pytest.mark.parametrize(
    ("words", "code", "told"),
    MISTAKES,
    ids=lambda value: " ".join(value) if isinstance(value, list) else None,
)
def test_a_mistake_is_told_plainly(
    words: list[str], code: int, told: str, logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "EMPTY").mkdir()
    (tmp_path / "WRONG").write_text("what,is,this\n1,2,3\n", encoding="utf-8")
    known = {"LOGS": str(logs), **{n: str(tmp_path / n) for n in ("EMPTY", "WRONG", "EMPTY/a/b.csv")}}
    assert run([known.get(word, word) for word in words]) == code
    out, err = capsys.readouterr()
    assert told in " ".join(err.split()) and "Traceback" not in err and not out


def test_a_slip_in_a_file_is_told_before_any_log_is_judged(
    logs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from faultiso.assessment.classes import grading

    monkeypatch.setattr(grading, "graded", lambda *given: pytest.fail("judged"))
    assert run(["grade", str(logs), "--against", str(tmp_path / "none.csv")]) == 2
    assert run(["grade", str(logs), "--earlier", str(tmp_path / "none.json")]) == 2


def test_hostile_names_do_no_harm(logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In the roster, and in the log itself, sealed anew."""
    path = logs / "0002-hot-cart.jsonl"
    bad = f"=cmd|'/c calc'!A1 {HOSTILE[:200]}"
    sealed_anew(
        path, lambda n, line: {**line, "data": {**line["data"], "candidate": bad}} if n == 1 else line
    )
    quoted = bad.replace('"', '""')
    roster, table, page = (tmp_path / name for name in ("crew.csv", "m.csv", "m.html"))
    roster.write_text(f'candidate,name\n14,"{quoted}"\n', encoding="utf-8")
    words = ["grade", str(logs), "--roster", str(roster), "--csv", str(table), "--html", str(page)]
    assert run(words) == 0
    is_alone_and_harmless(page.read_text(encoding="utf-8"))
    text = table.read_text(encoding="utf-8-sig")
    for row in csv.reader(io.StringIO(text)):
        assert not any(cell.startswith(("=", "+", "@", "-")) for cell in row), row
    for told in (capsys.readouterr().out, text):
        assert not {"\x1b", "\u202e", "\x00", "\x07"} & set(told)
