"""The cache of positions: never more than a cache, whatever happens to its file."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultiso.assessment.kept_positions import FILE, KeptPositions, kept_positions, program_digest, remembered
from faultiso.assessment.outcome import outcome
from faultiso.session.home import Home
from tests.assessment.test_memory import CASE, MEMORY, RUBRIC, STEPS, replayed, review
from tests.practice.test_answers import WALKS

PROGRAM = "this one"


def test_what_was_put_is_found_by_the_next_who_opens_it(tmp_path: Path) -> None:
    kept = KeptPositions(tmp_path / FILE, PROGRAM)
    kept.put("a", "1")
    kept.write()
    other = KeptPositions(tmp_path / FILE, PROGRAM)
    assert other.get("a") == "1" and other.get("b") is None
    other.put("b", "2")
    other.close()
    assert kept.get("b") == "2"
    kept.close()


def test_another_program_finds_nothing(tmp_path: Path) -> None:
    kept = KeptPositions(tmp_path / FILE, PROGRAM)
    kept.put("a", "1")
    kept.close()
    assert KeptPositions(tmp_path / FILE, "another").get("a") is None
    assert len(program_digest()) == 64


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(walks=st.lists(WALKS, min_size=1, max_size=3))
def test_with_and_without_it_all_is_the_same(walks: list[list[str]], tmp_path: Path) -> None:
    for lines in (*walks, *walks):
        found = replayed(lines)
        with remembered(Home(tmp_path)) as memory:
            assert outcome(review(found, memory), RUBRIC) == outcome(review(found, MEMORY), RUBRIC)
    assert (tmp_path / "cache" / FILE).is_file() and CASE


def spoilt(path: Path, how: str) -> None:
    content = path.read_bytes()
    match how:
        case "empty":
            path.write_bytes(b"")
        case "no database":
            path.write_bytes(b"a,b\n1,2\n" * 400)
        case "cut":
            path.write_bytes(content[: len(content) // 2])
        case "overwritten":
            path.write_bytes(content[:4096] + b"\xff" * (len(content) - 4096))
        case "a folder":
            path.unlink()
            path.mkdir()
        case "another program's":
            path.unlink()
            with sqlite3.connect(path) as file:
                file.execute("CREATE TABLE positions(key TEXT)")
        case "texts exchanged":
            with sqlite3.connect(path) as file:
                file.execute("UPDATE positions SET text = (SELECT max(text) FROM positions)")
        case "figures changed":
            with sqlite3.connect(path) as file:
                file.execute("UPDATE positions SET text = replace(text, '0', '1')")


HOW = (
    "empty", "no database", "cut", "overwritten", "a folder", "another program's", "texts exchanged", "figures changed",
)  # fmt: skip


@pytest.mark.parametrize("how", HOW)
def test_a_damaged_or_foreign_file_changes_nothing(how: str, tmp_path: Path) -> None:
    found = replayed(STEPS)
    right = review(found, MEMORY).worths
    path = tmp_path / "cache" / FILE
    with remembered(Home(tmp_path)) as memory:
        review(found, memory)
    spoilt(path, how)
    for _ in range(3):  # ignored, then made anew, then used
        with remembered(Home(tmp_path)) as memory:
            assert review(found, memory).worths == right
    if how != "a folder":
        with sqlite3.connect(path) as file:
            assert file.execute("SELECT count(*) FROM positions").fetchone()[0] > 1


def test_where_nothing_can_be_kept_nothing_is(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    assert kept_positions(Home(tmp_path / "file")) is None
    with remembered(Home(tmp_path / "file")) as memory:
        assert review(replayed(STEPS), memory).worths == review(replayed(STEPS), MEMORY).worths
    with remembered(None) as memory:
        assert review(replayed(STEPS), memory).worths


def test_the_older_half_goes_where_there_is_too_much(tmp_path: Path) -> None:
    largest = 400_000
    kept = KeptPositions(tmp_path / FILE, PROGRAM, largest)
    for number in range(2_000):
        kept.put(f"{number}", "x" * 1_000)
    kept.write()
    assert kept.get("1999") is not None and kept.get("0") is None
    assert (tmp_path / FILE).stat().st_size < 2 * largest
    kept.close()


def test_a_file_in_use_is_not_waited_for_for_ever(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("faultiso.assessment.kept_positions.PATIENCE", 0.05)
    kept = KeptPositions(tmp_path / FILE, PROGRAM)
    other = sqlite3.connect(tmp_path / FILE, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    kept.put("a", "1")
    kept.write()
    assert kept.get("a") is None
    other.execute("COMMIT")
    other.close()
    kept.put("a", "1")
    kept.write()
    assert kept.get("a") == "1"
    kept.close()
