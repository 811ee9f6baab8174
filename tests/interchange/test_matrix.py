"""Dependency matrices: there and back, every kind of wrong file with its message, any text whatever."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.problems import FaultisoError, InvalidModel
from faultiso.interchange.matrix import (
    DependencyMatrix,
    matrix_text,
    parse_matrix,
    read_matrix,
    write_matrix,
)

GOOD = "fault,probability,sight glass,gauge\nminutes,,4,17\nworn pump,0.7,0,1\nlow level,0.3,1,0.95\n"


def check_good(found: DependencyMatrix) -> None:
    assert found.faults == ("worn pump", "low level") and found.checks == ("sight glass", "gauge")
    assert found.minutes.tolist() == [4, 17] and found.probability.tolist() == [0.7, 0.3]
    assert found.detects.tolist() == [[0, 1], [1, 0.95]]


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD.replace(",", ";"),
        GOOD.replace(",", "\t"),
        GOOD.replace("gauge", '"gauge"').replace("0.95", '"0.95"'),
        "\ufeff# a remark; with a semicolon\n" + GOOD,
        "# a remark, with a comma\n\n" + GOOD,
        GOOD.replace("\n", ",,\n"),
        "fault,sight glass,Probability,gauge\nworn pump,0,.7,1\nMinutes,4,,17\nlow level,1,3e-1,0.95\n",
    ],
)
def test_the_same_matrix_however_it_is_written(text):
    check_good(parse_matrix(text))


#: text -> what is said, word for word
BAD = {
    "": 'f.csv: the file is empty; expected a first line "fault,probability,..."',
    "fault\n": "f.csv:1: found one field; expected fields parted by commas, semicolons or tabs",
    "fault;probability,a\n": "f.csv:1: found commas and semicolons in the head line; expected one kind: put names that hold one in quotes",
    "fault,probability\nminutes\nx,1\n": "f.csv:1: found no check; expected a column for each check",
    "fault,probability,a\nminutes,,1\n": "f.csv:1: found no fault; expected a row for each fault",
    "fault,a\nminutes,1\nx,1\n": "f.csv:1: found 0 columns called probability; expected one after the names of the faults",
    "fault,probabilty,a\nminutes,,1\nx,1,1\n": "f.csv:1: found 0 columns called probability; expected one after the names of the faults; nearest: probabilty",
    "fault,probability,a\nx,1,1\n": "f.csv:1: found 0 rows called minutes; expected one",
    "fault,probability,a\nminuts,,1\nx,1,1\n": "f.csv:1: found 0 rows called minutes; expected one; nearest: minuts",
    "fault,probability,a\nminutes,,1\nminutes,,2\nx,1,1\n": "f.csv:3: found 2 rows called minutes; expected one",
    "fault,probability,a\nminutes,,1\nx,0,7,1\n": "f.csv:3: found 4 cells, the head line has 3; expected as many (a decimal comma parts a cell: write 0.7)",
    "fault;probability;a\nminutes;;1\nx;0,7;1\n": 'f.csv:3:2: column 2 ("probability"): found "0,7"; expected a probability from 0 to 1: does it mean 0.7? Write a point, and no comma between thousands',
    "fault,probability,a\nminutes,,1\nx,1.2,1\n": 'f.csv:3:2: column 2 ("probability"): found "1.2"; expected a probability from 0 to 1',
    "fault,probability,a\nminutes,,-1\nx,1,1\n": 'f.csv:2:3: column 3 ("a"): found "-1"; expected more than 0 minutes',
    "fault,probability,a\nminutes,,0\nx,1,1\n": 'f.csv:2:3: column 3 ("a"): found "0"; expected more than 0 minutes',
    "fault,probability,a\nminutes,,1\nx,1,\n": 'f.csv:3:3: column 3 ("a"): found an empty cell; expected 0, 1 or a probability between',
    "fault,probability,a\nminutes,,1\nx,1,yes\n": 'f.csv:3:3: column 3 ("a"): found "yes"; expected 0, 1 or a probability between',
    "fault,probability,a\nminutes,,1\nx,1,=1+1\n": 'f.csv:3:3: column 3 ("a"): found "=1+1"; expected 0, 1 or a probability between; a formula is not worked out here: save the values',
    "fault,probability,a\nminutes,,1\nx,70%,1\n": 'f.csv:3:2: column 2 ("probability"): found "70%"; expected a probability from 0 to 1: write 0.25 for 25 %',
    "fault,probability,a\nminutes,,1\nx,nan,1\n": 'f.csv:3:2: column 2 ("probability"): found "nan"; expected a probability from 0 to 1',
    "fault,probability,a,A\nminutes,,1,1\nx,1,1,1\n": 'f.csv:1:4: found "A" again (column 3); expected each check once',
    "fault,probability,a\nminutes,,1\nx,.5,1\nx,.5,0\n": 'f.csv:4: found "x" again (line 3); expected each fault once',
    "fault,probability,a,,b\nminutes,,1,1,1\nx,1,1,1,1\n": "f.csv:1:4: found no name; expected the name of a check",
    "fault,probability,a\nminutes,,1\n,1,1\n": "f.csv:3: found no name; expected the name of a fault",
    'fault,probability,a\nminutes,,1\n"x"y,1,1\n': "f.csv:3: the quotes of this line do not fit (',' expected after '\"'); expected quotes around a whole cell",
}  # fmt: skip


@pytest.mark.parametrize("text", BAD)
def test_a_wrong_file_is_told_word_for_word(text):
    with pytest.raises(InvalidModel) as caught:
        parse_matrix(text, "f.csv")
    assert str(caught.value) == BAD[text]


def test_all_that_is_wrong_is_told_at_once():
    with pytest.raises(InvalidModel) as caught:
        parse_matrix("fault,probability,a,a\nminutes,,x,1\nu,2,1,0\nu,1,0,3\n")
    assert [(p.where.line, p.where.column) for p in caught.value.problems] == [
        (1, 4), (2, 3), (3, 2), (4, 0), (4, 4),
    ]  # fmt: skip


def test_too_many_faults_or_checks_are_refused():
    with pytest.raises(InvalidModel, match="more than 2,000 faults"):
        parse_matrix("fault,probability,a\nminutes,,1\n" + "x,0,0\n" * 2_001)
    heads = ",".join(f"c{i}" for i in range(2_001))
    with pytest.raises(InvalidModel, match="found 2,001 checks; expected at most 2,000"):
        parse_matrix(f"fault,probability,{heads}\nminutes,{',1' * 2001}\nx,1{',1' * 2001}\n")


def test_a_formula_is_escaped_when_written_and_comes_back():
    names = ("=1+1", "'quoted", "@sum", "+a", "-b", "#remark", 'a "b", c', "plain; too")
    matrix = DependencyMatrix(names, names, np.ones(8), np.full(8, 0.125), np.eye(8))
    text = matrix_text(matrix)
    assert not any(
        cell.lstrip('"').startswith(("=", "@", "+", "-")) for cell in text.replace("\n", ",").split(",")
    )
    assert "not approved maintenance data" in text.split("\n")[0]
    found = parse_matrix(text)
    assert found.faults == names and found.checks == names


CHANCES = st.floats(0, 1)
NAMES = st.lists(st.text(st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1, max_size=12).map(
    lambda text: " ".join(text.split())).filter(lambda n: n and n.casefold() not in ("minutes", "probability")),
    min_size=1, max_size=5, unique_by=str.casefold)  # fmt: skip


@st.composite
def matrices(draw) -> DependencyMatrix:
    faults, checks = tuple(draw(NAMES)), tuple(draw(NAMES))
    rows = [[draw(CHANCES) for _ in checks] for _ in faults]
    minutes = [draw(st.floats(0.1, 1e6)) for _ in checks]
    return DependencyMatrix(
        faults, checks, np.array(minutes), np.array([draw(CHANCES) for _ in faults]), np.array(rows)
    )


@given(matrices())
def test_there_and_back_to_the_last_digit(matrix):
    found = parse_matrix(matrix_text(matrix))
    assert (found.faults, found.checks) == (matrix.faults, matrix.checks)
    for name in ("minutes", "probability", "detects"):
        assert np.array_equal(getattr(found, name), getattr(matrix, name))
        assert not getattr(found, name).flags.writeable


PIECES = st.sampled_from(["fault", "probability", "minutes", ",", ";", "\t", "\n", "\r", '"', "0", "1", "0,5", "=1", "#", "é", "\0", "a"])  # fmt: skip


@given(st.one_of(st.text(max_size=80), st.lists(PIECES, max_size=60).map("".join)))
def test_any_text_is_a_matrix_or_a_list_of_problems(text):
    try:
        found = parse_matrix(text, "f.csv")
    except FaultisoError as error:
        assert str(error)
    else:
        assert found.detects.shape == (len(found.faults), len(found.checks))


@given(st.integers(0, len(GOOD) - 1), st.text(min_size=0, max_size=2))
def test_a_slip_in_a_good_file_is_read_or_told(place, slip):
    try:
        parse_matrix(GOOD[:place] + slip + GOOD[place + 1 :], "f.csv")
    except InvalidModel as error:
        assert all(problem.where.file == "f.csv" for problem in error.problems)


def test_files(tmp_path):
    write_matrix(tmp_path / "m.csv", parse_matrix(GOOD))
    check_good(read_matrix(tmp_path / "m.csv"))
    with pytest.raises(FaultisoError, match="cannot be read"):
        read_matrix(tmp_path / "none.csv")
    (tmp_path / "w.csv").write_bytes(b"fault,probability,a\nminutes,,1\nx\xff,1,1\n")
    with pytest.raises(InvalidModel, match="no UTF-8 text"):
        read_matrix(tmp_path / "w.csv")
