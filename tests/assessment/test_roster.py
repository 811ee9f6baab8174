"""Rosters and receipts: numbers and names apart, everything that is wrong with its line and column."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from faultiso.assessment.receipts import HandedIn, Noted, compared, handed_in, read_receipts
from faultiso.assessment.roster import Roster, candidate_key, read_roster
from faultiso.assessment.submissions import submissions
from faultiso.base.problems import InvalidModel
from faultiso.session.home import Home
from tests.assessment.class_of import BY_LUCK, GIVEN_UP, sealed_anew, worked


def roster(tmp_path: Path, text: str) -> Roster:
    (tmp_path / "crew.csv").write_text(text, encoding="utf-8")
    return read_roster(tmp_path / "crew.csv")


def problems(tmp_path: Path, text: str) -> list[str]:
    with pytest.raises(InvalidModel) as wrong:
        roster(tmp_path, text)
    return [str(problem).removeprefix(f"{tmp_path / 'crew.csv'}:") for problem in wrong.value.problems]


def test_a_roster_gives_names_to_numbers(tmp_path: Path) -> None:
    found = roster(tmp_path, 'Candidate;Name;Group;Shift\n014;"Reed; Ada";blue;night\n9;Vale;;\n;;;\n')
    assert found.name("14") == found.name(" 0014") == "Reed; Ada"
    person = found.person("14")
    assert person is not None and (person.group, person.more, person.line) == ("blue", {"Shift": "night"}, 2)
    assert found.shown("9") == "9 Vale" and found.shown("22") == "22" and found.shown("") == "(no number)"


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    text = 'candidate,name,name\n14,Reed\n7,Tarn,,x\n014,Moss\n,Vale\n22,"Field\n'
    assert problems(tmp_path, text) == [
        '1:16: a second column "name"; expected one of each',
        "3:9: more cells than the first line has columns; put a text that holds a separator in quotes",
        '4:1: candidate "014" stands twice; the first time in line 2',
        "5:1: a line without a candidate number",
        "6:4: a quotation mark opens this cell and none closes it; expected one at its end, or none",
    ]


def test_without_numbers_it_is_no_roster(tmp_path: Path) -> None:
    (told,) = problems(tmp_path, "candidat,name\n1,Reed\n")
    assert told.startswith('1:1: no column is called "candidate"') and told.endswith("nearest: candidate")


def test_two_people_of_one_name_are_a_warning(tmp_path: Path) -> None:
    (told,) = roster(tmp_path, "number,name\n1,Reed\n2,reed\n3,\n4,\n").problems
    assert told.severity == "warning" and (told.where.line, told.where.column) == (3, 3)


@pytest.mark.parametrize(
    "name", ["=cmd|' /C calc'!A0", "\x1b]0;x\x07Reed", "Re\u202eed", "a\0b", '"', "<script>"]
)
def test_hostile_names_are_cleaned(name: str, tmp_path: Path) -> None:
    quoted = name.replace('"', '""')
    found = roster(tmp_path, f'candidate,name\n1,"{quoted}"\n').name("1")
    assert found.isprintable() and "\u202e" not in found


def test_a_nul_byte_is_told_with_its_place_and_keeps_nobody_from_grading(tmp_path: Path) -> None:
    found = roster(tmp_path, "candidate,name\n1,a\0b\n")
    (told,) = found.problems
    assert "2:4: a NUL byte; save the sheet as CSV" in str(told) and told.severity == "warning"
    assert found.name("1").isprintable()


@given(st.integers(0, 99_999), st.integers(0, 4), st.sampled_from(["", " ", "\t"]))
def test_numbers_are_the_same_however_they_are_written(number: int, zeros: int, blank: str) -> None:
    assert candidate_key(f"{blank}{'0' * zeros}{number}{blank}") == str(number)


@example("\u0130 c\u0327 \u212b")
@given(st.text(max_size=30))
def test_a_key_is_its_own_key(text: str) -> None:
    assert candidate_key(candidate_key(text)) == candidate_key(text)


# receipts


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Home:
    found = Home(tmp_path_factory.mktemp("class"))
    worked(found, BY_LUCK, "14")
    worked(found, GIVEN_UP, "15")
    return found


@pytest.fixture
def logs(place: Home) -> list[HandedIn]:
    return [handed_in(each) for each in submissions([place.sessions], place=place)]


def kinds(noted: list[Noted], logs: list[HandedIn]) -> list[tuple[str, str]]:
    return [(each.candidate, each.kind) for each in compared(noted, logs)]


def test_a_list_is_read(tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(
        "candidate,session,receipt\n14,1,7F3K-Q2WM\n15,,aaaa bbbb\n", encoding="utf-8"
    )
    assert read_receipts(tmp_path / "r.csv") == (
        Noted("14", "1", "7F3K-Q2WM", 2),
        Noted("15", "", "aaaa bbbb", 3),
    )


@pytest.mark.parametrize(
    "text", ["number,receipt\n1,x\n", "candidate,receipt\n1\n", "candidate,receipt\n,x\n"]
)
def test_a_list_that_is_none_is_told(text: str, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(text, encoding="utf-8")
    with pytest.raises(InvalidModel) as wrong:
        read_receipts(tmp_path / "r.csv")
    assert all(problem.where.line and problem.where.column for problem in wrong.value.problems)


@pytest.mark.parametrize(
    "work", ["hot-cart", "HOT-CART", "1", "0001", "0001-hot-cart", "0001-hot-cart.jsonl", ""]
)
def test_the_right_receipt_is_the_same_however_it_is_written(work: str, logs: list[HandedIn]) -> None:
    written = logs[0].receipt.lower().replace("-", " ").replace("0", "o").replace("1", "l")
    assert kinds([Noted("014", work, written)], logs) == [("014", "same"), ("15", "no receipt")]


def test_what_does_not_fit_is_told(logs: list[HandedIn]) -> None:
    first, second = logs[0].receipt, logs[1].receipt
    assert kinds([Noted("14", "", second), Noted("15", "", first)], logs) == [
        ("14", "different"),
        ("15", "different"),
    ]
    assert kinds([Noted("14", "hot-cart", "0000-0000"), Noted("15", "", second)], logs)[0] == (
        "14",
        "different",
    )
    assert kinds([Noted("16", "", "0000-0000")], logs)[0] == ("16", "no log")
    assert kinds([Noted("14", "first-light", "0000-0000")], logs)[0] == ("14", "no log")
    assert kinds([Noted("14", "2", "0000-0000")], logs)[0] == ("14", "no log")
    assert kinds([], logs) == [("14", "no receipt"), ("15", "no receipt")]


def test_a_log_that_was_sealed_anew_has_another_receipt(
    place: Home, tmp_path: Path, logs: list[HandedIn]
) -> None:
    shutil.copytree(place.root, tmp_path / "a")
    path = next((tmp_path / "a").rglob("0001-*.jsonl"))
    sealed_anew(path, lambda n, line: {**line, "at": "2026-11-20T10:00:00+00:00"} if n == 3 else line)
    after = [handed_in(each) for each in submissions([tmp_path / "a" / "sessions"], place=place)]
    assert kinds([Noted("14", "hot-cart", logs[0].receipt)], after)[0] == ("14", "different")


def test_an_altered_log_fits_no_receipt(place: Home, tmp_path: Path, logs: list[HandedIn]) -> None:
    shutil.copytree(place.root, tmp_path / "a")
    path = next((tmp_path / "a").rglob("0001-*.jsonl"))
    path.write_bytes(path.read_bytes().replace(b'"at":"2', b'"at":"1', 1))
    after = [handed_in(each) for each in submissions([tmp_path / "a" / "sessions"], place=place)]
    first = compared([Noted("14", "hot-cart", logs[0].receipt)], after)[0]
    assert first.kind == "different" and "altered" in first.sentence
