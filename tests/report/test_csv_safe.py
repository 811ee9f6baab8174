"""CSV for spreadsheets: whatever a name or a text holds, its cell is one text, in its row, and no formula."""

from __future__ import annotations

import csv
import io
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.report.csv_safe import Value, csv_cell, csv_text

HOSTILE = (
    "=1+1", "=cmd|' /C calc'!A0", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "\u00a0=1", "\uff1d1",
    "\uff0b1", "'=1", '"=1', "|calc", "%0A=1", "# remark", "\ufeff=1", "\x00=1", "\x1b[31m=1", "\u200b=1", "\u202e=1",
)  # fmt: skip
TEXTS = st.text(st.sampled_from("=+-@|,;\"'\n\r\t ab\u202e\x00\uff1d"), max_size=8) | st.text(max_size=8)
VALUES = st.none() | st.booleans() | st.integers() | st.floats() | TEXTS


def read_back(text: str, separator: str = ",") -> list[list[str]]:
    assert text.startswith("\ufeff")
    return list(csv.reader(io.StringIO(text[1:], newline=""), delimiter=separator, strict=True))


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_is_a_formula(text: str) -> None:
    cell = csv_cell(text)
    assert isinstance(cell, str) and cell.startswith("'") and cell.isprintable()


def test_an_apostrophe_does_not_vanish() -> None:
    assert csv_cell("'tis") == "''tis"


@pytest.mark.parametrize("text", ["Reed", "a-b", "O'Hara", "14, blue", 'the "old" one', "50 %", "José", ""])
def test_plain_texts_stay_as_they_are(text: str) -> None:
    assert csv_cell(text) == text


def test_numbers_stay_numbers() -> None:
    assert [csv_cell(value) for value in (-3, -2.5, 0, True, None, math.inf, math.nan)] == [
        -3,
        -2.5,
        0,
        "yes",
        "",
        "",
        "",
    ]


@given(st.lists(st.tuples(VALUES, VALUES), max_size=5), st.sampled_from(",;"))
def test_every_cell_stays_in_its_place(rows: list[tuple[Value, Value]], separator: str) -> None:
    found = read_back(csv_text(["=a", "b"], rows, separator=separator), separator)
    assert found[1] == ["'=a", "b"]
    assert found[2:] == [[str(csv_cell(value)) for value in row] for row in rows]
    for row, given_ in zip(found[2:], rows, strict=True):
        for cell, value in zip(row, given_, strict=True):
            assert (
                not isinstance(value, str)
                or not cell.lstrip(" \"'`").startswith(("=", "+", "-", "@"))
                or cell[0] == "'"
            )


def test_it_says_what_it_is() -> None:
    assert "not approved maintenance data" in read_back(csv_text(["a"], []))[0][0]


def test_rows_fit_their_head() -> None:
    with pytest.raises(ValueError, match="one cell for each column"):
        csv_text(["a", "b"], [["x"]])
