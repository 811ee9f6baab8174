"""Tables from spreadsheets: the same cells as other readers find, each with its place, and nothing hostile."""

from __future__ import annotations

import csv
import io
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.problems import InvalidModel, UsageError
from faultiso.base.sheets import SMALL, Bounds, decoded, parse_sheet, read_sheet

CELLS = st.text(st.sampled_from("ab ,;\t\"\n'=é1"), max_size=6)
ROWS = st.lists(st.lists(CELLS, min_size=1, max_size=4), min_size=1, max_size=5)


def plain(text: str) -> str:
    return " ".join(text.split())


@given(ROWS, st.sampled_from(",;\t"))
def test_it_reads_what_spreadsheets_write(rows: list[list[str]], separator: str) -> None:
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=separator, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerows(rows)
    sheet = parse_sheet(f"sep={separator}\n{stream.getvalue()}")
    expected = [[plain(cell) for cell in row] for row in rows]
    found = [[cell.text for cell in row] for row in (sheet.head, *sheet.rows) if row]
    assert found == [row for row in expected if any(row)]
    assert sheet.problems == ()


@given(st.text(st.sampled_from('ab,\n" '), max_size=40))
def test_any_text_is_read_and_places_are_right(text: str) -> None:
    sheet = parse_sheet(f"sep=,\n{text}")
    lines = f"sep=,\n{text}".split("\n")
    for cell in (cell for row in (sheet.head, *sheet.rows) for cell in row):
        there = lines[cell.line - 1][cell.column - 1 :]
        assert cell.column == 1 or lines[cell.line - 1][cell.column - 2] == ","
        if cell.text and not there.startswith('"'):
            assert plain(there.partition(",")[0]) == cell.text


@given(st.text(st.sampled_from("ab,\n "), max_size=60))
def test_without_quotes_it_is_a_split(text: str) -> None:
    sheet = parse_sheet(f"sep=,\n{text}")
    expected = [[plain(cell) for cell in line.split(",")] for line in text.split("\n")]
    assert [[cell.text for cell in row] for row in (sheet.head, *sheet.rows) if row] == [
        r for r in expected if any(r)
    ]


@pytest.mark.parametrize(
    ("head", "cells"),
    [
        ("candidate,name", ["candidate", "name"]),
        ("candidate;name;the group, if any", ["candidate", "name", "the group, if any"]),
        ('candidate\t"a;b;c"\tname', ["candidate", "a;b;c", "name"]),
        ("\n\n ; \nno;name", ["no", "name"]),
        ("alone", ["alone"]),
        ('"# Training aid; one, two, not approved data"\nno;name', ["no", "name"]),
        ("# Training aid; one, two, not approved data,,\nno;name", ["no", "name"]),
        ("# no,name", ["# no", "name"]),
    ],
)
def test_the_separator_is_found(head: str, cells: list[str]) -> None:
    assert [cell.text for cell in parse_sheet(head).head] == cells


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_and_line_ends(encoding: str, end: str) -> None:
    text, latin = decoded(f"no,name{end}1,José{end}".encode(encoding))
    assert (text, latin) == ("no,name\n1,José\n", False)


def test_old_spreadsheets_are_read_and_told(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes("no,name\n1,José\n".encode("cp1252"))
    sheet = read_sheet(tmp_path / "a.csv", "roster", "no,name")
    assert sheet.rows[0][1].text == "José"
    assert [problem.severity for problem in sheet.problems] == ["warning"]


def test_an_open_quote_is_told_with_its_place() -> None:
    (problem,) = parse_sheet('no,name\n1,"Ada Reed\n2,Tarn\n', "a.csv").problems
    assert str(problem).startswith("a.csv:2:3: a quotation mark opens")


def test_it_is_bounded(tmp_path: Path) -> None:
    for text in ("a\n" * 6, "a," * 200):
        with pytest.raises(InvalidModel, match="more than 3 rows or 100 columns"):
            parse_sheet(text, bounds=Bounds(rows=3))
    (tmp_path / "a.csv").write_bytes(b"x" * (SMALL.size + 1))
    with pytest.raises(InvalidModel, match="larger than 1 MB"):
        read_sheet(tmp_path / "a.csv", "roster", "a")
    (tmp_path / "b.csv").write_bytes(b"\n,,\n")
    with pytest.raises(InvalidModel, match="expected a first line"):
        read_sheet(tmp_path / "b.csv", "roster", "a")
    with pytest.raises(UsageError, match="roster cannot be read"):
        read_sheet(tmp_path / "c.csv", "roster", "a")


def test_cells_are_safe_to_show() -> None:
    sheet = parse_sheet("a,b\n\x1b[31mred\x07,\u202eback" + "x" * 500)
    assert [cell.text.isprintable() for cell in sheet.rows[0]] == [True, True]
    assert sheet.rows[0][0].text == "red" and len(sheet.rows[0][1].text) <= SMALL.cell


def test_a_line_without_end_is_refused_before_it_is_read(tmp_path: Path) -> None:
    endless = tmp_path / "a.csv"
    with endless.open("wb") as stream:
        stream.truncate(100_000_000)
    tracemalloc.start()
    with pytest.raises(InvalidModel, match="larger than 1 MB"):
        read_sheet(endless, "roster", "a")
    assert tracemalloc.get_traced_memory()[1] < 10_000_000
    tracemalloc.stop()


@pytest.mark.parametrize("begins", [b"PK\x03\x04", b"\xd0\xcf\x11\xe0"])
def test_a_workbook_is_told_as_one(tmp_path: Path, begins: bytes) -> None:
    (tmp_path / "a.csv").write_bytes(begins + bytes(50))
    with pytest.raises(InvalidModel, match="this is a workbook"):
        read_sheet(tmp_path / "a.csv", "roster", "a")


def told(tmp_path: Path, data: bytes) -> list[str]:
    (tmp_path / "a.csv").write_bytes(data)
    sheet = read_sheet(tmp_path / "a.csv", "roster", "a")
    return [str(problem).removeprefix(str(tmp_path)) for problem in sheet.problems]


def test_signs_that_no_text_has_are_told_with_their_place(tmp_path: Path) -> None:
    assert told(tmp_path, b"no,name\n1,A\0da\0\n")[0].startswith("/a.csv:2:4: a NUL byte, the first of 2;")
    torn = "no,name\n1,Ada\n".encode("utf-16")[:-1]
    assert told(tmp_path, torn)[0].startswith("/a.csv:2:6: a sign that could not be read;")
    assert told(tmp_path, "no,name\n1,José\n".encode("cp1252"))[0].startswith("/a.csv:2:6: this is not UTF-8")


def test_what_is_cut_off_is_told(tmp_path: Path) -> None:
    assert told(tmp_path, b"no,note\n1," + b"x" * 201)[0].startswith("/a.csv:2:3: 201 characters in one cell")
    assert told(tmp_path, b"no,note\n1," + b"x" * 200) == []
    sheet = parse_sheet("a,b\n1," + "x" * 500, bounds=Bounds(cell=500))
    assert (len(sheet.rows[0][1].text), sheet.problems) == (500, ())
