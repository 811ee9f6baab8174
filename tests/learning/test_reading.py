"""Histories as people keep them: every slip told by line and column, nothing lost, piece by piece or at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.base.columns import in_columns
from faultiso.base.problems import InvalidModel
from faultiso.base.sheets import parse_sheet
from faultiso.learning import pieces, reading
from faultiso.learning.gathered import MOST_PLACES, Gathered
from faultiso.learning.pieces import CELLS, LONGEST_LINE, Pieces
from faultiso.learning.wording import COLUMNS, HEADS, TOLD

HEAD = ",".join(HEADS)
GOOD = "1,100,,,gauge=low,normal,port=low,pump.worn,rectified"


def at_once(text: str) -> Gathered:
    gathered = Gathered("h.csv")
    gathered.take(in_columns(parse_sheet(text, "h.csv", CELLS), COLUMNS))
    return gathered


def in_pieces(text: str) -> Gathered:
    gathered = Gathered("h.csv")
    Pieces(gathered, text.split("\n")).read()
    return gathered


def told(gathered: Gathered) -> list[str]:
    return sorted(map(str, gathered.problems))


def counts(gathered: Gathered) -> dict[tuple[str, ...], tuple[int, float]]:
    return {key: (alike.times, round(alike.hours, 6)) for key, alike in gathered.rows.items()}


def file_of(folder: Path, data: bytes) -> Gathered:
    path = folder / "h.csv"
    path.write_bytes(data)
    return reading.read_history(path)


SLIPS = {
    "decimal comma": ("1;2,5;;;gauge=low;;;;", 'column "hours": Does 2,5 mean 2.5 or 25?'),
    "thousands or a fraction": ("1;2,500;;;gauge=low;;;;", 'column "hours": Does 2,500 mean 2.500 or 2500?'),
    "formula": ("1,=1+1,,,gauge=low,,,,", "A formula is not worked out here"),
    "hours of a century": (
        "1,1e8,,,gauge=low,,,,",
        "expected a number from 0 to 10,000,000; found 100,000,000",
    ),
    "no number": ("1,many,,,gauge=low,,,,", 'found "many"'),
    "no hours": ("1,,,,gauge=low,,,,", "are missing"),
    "less than nothing": ("1,-4,,,gauge=low,,,,", "expected a number from 0"),
    "beyond the last column": (f"{GOOD},more", "stands beyond the last column"),
    "a mark that opens": ('1,100,,,"gauge=low,,,,', "a quotation mark opens this cell"),
}


@pytest.mark.parametrize(
    "heads",
    [
        "hours,complaint,,result\n,,found,",
        'hours,complaint,"found\n",result',
        "hours,,found,result\n,complaint,,",
    ],
)
def test_heads_of_a_long_history_stand_in_one_line(heads: str) -> None:
    with pytest.raises(InvalidModel, match="all heads stand in one line"):
        in_pieces(f"{heads}\n100,gauge=low,pump.worn,rectified\n")


def test_a_remark_among_the_rows_of_a_long_history_is_no_row() -> None:
    rows = "hours,complaint,found,result\n100,gauge=low,pump.worn,rectified\n #mine,x,y,z\n #mine,x,y,z\n"
    assert counts(in_pieces(rows)) == counts(at_once(rows)) and len(counts(at_once(rows))) == 1


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("read", [at_once, in_pieces])
def test_a_slip_sets_one_row_aside(slip: str, read) -> None:  # type: ignore[no-untyped-def]
    line, message = SLIPS[slip]
    sign = ";" if ";" in line else ","
    text = "\n".join(
        part.replace(",", sign) if sign not in part else part for part in (HEAD, GOOD, line, GOOD)
    )
    found = read(text + "\n")
    assert found.set_aside == 1 and sum(alike.times for alike in found.rows.values()) == 2
    (problem,) = found.problems
    assert problem.where.line == 3 and problem.where.column > 1
    assert message in problem.message


def test_a_column_that_is_missing_is_named() -> None:
    for read in (at_once, in_pieces):
        with pytest.raises(InvalidModel) as raised:
            read("visit,hour,complaint,result\n1,100,gauge=low,rectified\n")
        assert "hours" in str(raised.value) and "found" in str(raised.value)


@pytest.mark.parametrize(
    "data",
    [
        f"{HEAD}\r\n{GOOD}\r\n".encode(),
        f"\ufeff{HEAD}\n{GOOD}\n".encode(),
        f"{HEAD}\n{GOOD}\n".encode("utf-16"),
        f"sep=;\n{HEAD};{GOOD}\n".replace(",", ";").replace(f"{HEAD.replace(',', ';')};", f"{HEAD.replace(',', ';')}\n").encode(),
        f'# a remark, "of two cells"\n{HEAD.upper()}\n{GOOD}\n\n,,,,,,,,\n# the end\n'.encode(),
        f"{HEAD},own column\n{GOOD},whatever é\n".encode("cp1252"),
    ],
)  # fmt: skip
def test_encodings_separators_and_own_columns(tmp_path: Path, data: bytes) -> None:
    found = file_of(tmp_path, data)
    (alike,) = found.rows.values()
    assert (alike.times, alike.hours, alike.cells["complaint"]) == (1, 100.0, "gauge=low")
    assert [problem.severity for problem in found.problems] in ([], ["warning"])


def test_a_workbook_is_told(tmp_path: Path) -> None:
    with pytest.raises(InvalidModel, match="workbook"):
        file_of(tmp_path, b"PK\x03\x04" + bytes(100))


def test_a_line_without_end_is_one_row_set_aside(tmp_path: Path) -> None:
    """A hundred megabytes in one cell."""
    data = f"{HEAD}\n{GOOD}\n".encode() + b"2,100,,," + b"x" * 100_000_000 + b",,,,\n" + GOOD.encode()
    found = file_of(tmp_path, data)
    assert found.set_aside == 1
    (problem,) = found.problems
    assert (problem.where.line, problem.where.column) == (
        3,
        1,
    ) and "100,000,012 characters" in problem.message
    assert [alike.times for alike in found.rows.values()] == [2]


def test_too_large_a_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "LARGEST", 50)
    with pytest.raises(InvalidModel, match="larger than"):
        file_of(tmp_path, f"{HEAD}\n{GOOD}\n".encode())


def test_many_rows_are_read_in_pieces(tmp_path: Path) -> None:
    lines = [f"{n},{n % 7},,,gauge={'low' if n % 3 else 'normal'},,,," for n in range(30_000)]
    lines[25_000] = "x,y"
    found = file_of(tmp_path, "\n".join([HEAD, *lines]).encode())
    assert sorted(alike.times for alike in found.rows.values()) == [10_000, 19_999]
    assert sum(a.hours for a in found.rows.values()) == sum(n % 7 for n in range(30_000)) - 25_000 % 7
    assert [problem.where.line for problem in found.problems] == [25_002]
    for alike in found.rows.values():
        assert len(alike.places) == MOST_PLACES
        assert all(record.cells["complaint"].text == alike.cells["complaint"] for record in alike.places)


WELL = ["", "1", "2.5", "1 000", "1e3", "-1", "=2", "abc", "gauge=low", '"a"', '"a,b"', '"a\nb"', '"a""b"', "#",
        "'=x", "é", "nk", "100", " 7 "]  # fmt: skip
ILL = ["2,5", ' "', '"', 'a"b']


def lines_of(cells: list[str]) -> st.SearchStrategy[list[str]]:
    line = st.lists(st.sampled_from(cells), min_size=1, max_size=11).map(",".join)
    return st.lists(line, max_size=8)


@settings(max_examples=300)
@given(lines_of(WELL + ILL))
def test_in_pieces_as_at_once(lines: list[str]) -> None:
    text = "\n".join([HEAD, *lines]) + "\n"
    one, many = at_once(text), in_pieces(text)
    assert counts(many) == counts(one)
    assert (many.set_aside, told(many)) == (one.set_aside, told(one))


@settings(max_examples=60)
@given(lines_of(WELL), st.integers(1, 3))
def test_pieces_of_few_lines(lines: list[str], rows: int) -> None:
    """Where a piece ends makes no difference."""
    text = "\n".join([HEAD, *lines, *[GOOD] * 3]) + "\n"
    before = pieces.ROWS
    pieces.ROWS = rows
    try:
        assert counts(in_pieces(text)) == counts(at_once(text))
    finally:
        pieces.ROWS = before


def test_nothing_is_lost() -> None:
    text = "\n".join(
        [HEAD, *(line for line, _ in SLIPS.values() if ";" not in line and '"' not in line), GOOD, GOOD]
    )
    for read in (at_once, in_pieces):
        found = read(text)
        rows = len(text.split("\n")) - 1
        assert found.set_aside + sum(alike.times for alike in found.rows.values()) == rows
        assert len(found.problems) == found.set_aside


def test_the_longest_line_is_longer_than_the_longest_cells() -> None:
    assert len(TOLD) * CELLS.cell < LONGEST_LINE
