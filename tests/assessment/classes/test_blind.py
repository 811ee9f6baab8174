"""An instructor's own marks from a spreadsheet: as they stand, or every problem of the file at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.assessment.classes.blind import read_blind
from faultiso.base.problems import InvalidModel, UsageError


def written(folder: Path, text: str) -> Path:
    path = folder / "marks.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_marks_by_candidate_and_case(tmp_path: Path) -> None:
    found = read_blind(written(tmp_path, "Candidate;case;mark\n014;first-light;72.5\n b7 ;;0\n15\n"[:-3]))
    assert found == {("14", "first-light"): 72.5, ("b7", ""): 0.0}


def test_a_column_of_cases_may_be_left_out(tmp_path: Path) -> None:
    assert read_blind(written(tmp_path, "mark,candidate\n100,1\n")) == {("1", ""): 100.0}


def test_everything_that_is_wrong_is_told_in_one_run(tmp_path: Path) -> None:
    text = "candidate,case,mark\n,a,5\n1,a,nan\n1,a,101\n1,a,7_0\n1,a,seventy\n2,a,60\n02,a,61\n3,a\n"
    with pytest.raises(InvalidModel) as error:
        read_blind(written(tmp_path, text))
    told = str(error.value).split("\n")
    assert [line.split(":")[1] for line in told] == ["2", "3", "4", "5", "6", "8", "9"]
    assert 'not "seventy"' in told[4] and "twice" in told[5]


@pytest.mark.parametrize("head", ["who,mark", "candidate,points", "=1+1", "mark"])
def test_a_missing_column_is_named(head: str, tmp_path: Path) -> None:
    with pytest.raises(InvalidModel, match="no column is called"):
        read_blind(written(tmp_path, f"{head}\n1,2\n"))


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(UsageError):
        read_blind(tmp_path / "none.csv")
