"""Columns by their heads: the same records in whatever order and spelling; numbers read exactly or refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.columns import Column, InColumns, in_columns, number_in, plain_text
from faultiso.base.problems import Problem
from faultiso.base.sheets import Cell, parse_sheet

COLUMNS = (
    Column("item", ("item", "item/functional identification (nomenclature)"), required=True),
    Column("rate", ("failure rate (lambda p)", "λp"), required=True),
    Column("remarks", ("remarks",)),
)


def read(text: str) -> InColumns:
    return in_columns(parse_sheet(text, "a.csv"), COLUMNS)


def texts(table: InColumns) -> list[dict[str, str]]:
    return [{name: cell.text for name, cell in record.cells.items()} for record in table.records]


@pytest.mark.parametrize(
    "head",
    [
        "item,failure rate (lambda p),remarks",
        "ITEM ,Failure-Rate,Remarks:",
        "Item / Functional Identification (Nomenclature),FAILURE RATE (λp),remarks",
        "Nomenclature,lambda-p,REMARKS",
        "Item,λₚ,Remarks",
        "Item,Failure rate per million hours,Remarks",
    ],
)
def test_heads_are_found_in_any_spelling(head: str) -> None:
    table = read(f"{head}\npump,1,x\n")
    assert (texts(table), table.problems) == ([{"item": "pump", "rate": "1", "remarks": "x"}], ())


@pytest.mark.parametrize("head", ["repair time (rate)", "temperature (rate)", "own [lambda p]"])
def test_a_unit_in_brackets_makes_no_column(head: str) -> None:
    table = read(f"item,{head}\npump,6\n")
    assert texts(table) == [{"item": "pump", "rate": "", "remarks": ""}] and table.records[0].more


@given(st.permutations(("item", "failure rate", "remarks", "own")), st.data())
def test_any_order_gives_the_same_records(order: list[str], data: st.DataObject) -> None:
    rows = data.draw(
        st.lists(st.fixed_dictionaries({name: st.sampled_from("abc") for name in order}), max_size=4)
    )
    table = read("\n".join([",".join(order), *(",".join(row[name] for name in order) for row in rows)]))
    found = [
        (record.cells["item"].text, record.cells["rate"].text, record.more["own"].text)
        for record in table.records
    ]
    assert found == [(row["item"], row["failure rate"], row["own"]) for row in rows]
    assert table.problems == ()


def test_what_is_wrong_with_the_form_is_told_in_one_run() -> None:
    table = read("itme,remarks,Remarks\na,b,c,d\n")
    assert [str(problem) for problem in table.problems] == [
        'a.csv:1:14: a second column "Remarks"; expected one of each',
        'a.csv:1:1: no column is called "item"; expected one; nearest: "itme"',
        'a.csv:1:1: no column is called "failure rate (lambda p)"; expected one',
        'a.csv:2:7: "d" stands beyond the last column; put a text that holds a separator in quotes',
    ]


def test_a_title_block_and_remarks_are_no_records() -> None:
    table = read("# made by hand\nSystem,cart\n\nitem,failure rate,remarks\npump,1\n#,2\n")
    assert [row[0].text for row in table.before] == ["System"]
    assert texts(table) == [{"item": "pump", "rate": "1", "remarks": ""}]
    missing = table.records[0].cells["remarks"]
    assert (missing.line, missing.column) == (5, 7)


def number(text: str, **more: object) -> float | Problem:
    return number_in(Cell(text, 3, 5), "a.csv", "hours", 0, 1e6, **more)  # type: ignore[arg-type]


@given(st.just(0.0) | st.floats(1e-20, 1e6))
def test_numbers_are_read_to_the_last_digit(value: float) -> None:
    assert number(repr(value)) == pytest.approx(value, rel=1e-12, abs=0)
    assert number(f"{value:.6f}".replace(".", ","), decimal=",") == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "decimal", "told"),
    [
        ("2,7", ".", "Does 2,7 mean 2.7 or 27? Write a point before fractions"),
        ("2,700", "?", "Does 2,700 mean 2.700 or 2700? Write a point before fractions"),
        ("2.700", ",", '"2.700" has a point, but fractions are said to have a comma here'),
        ("=1+1", ".", 'found "=1+1". A number is wanted, or nk for not known. A formula is not worked out'),
        ("-2", ".", "expected a number from 0 to 1,000,000; found -2"),
        ("5 psi", ".", "expected a number from 0 to 1,000,000; found 5 psi"),
        ("nk", ".", "a number is wanted here; not known is an empty cell"),
        ("", ".", 'found "". A number is wanted'),
    ],
)
def test_what_is_no_number_is_told_with_its_place(text: str, decimal: str, told: str) -> None:
    found = number(text, decimal=decimal)
    assert isinstance(found, Problem)
    assert str(found).startswith(f'a.csv:3:5: column "hours": {told}')


@pytest.mark.parametrize(
    ("text", "value"), [("12,700.5", 12700.5), ("1,234,567", 1234567), ("2.7", 2.7), ("27", 27)]
)
def test_where_semicolons_part_cells_only_what_may_be_either_is_asked_about(text: str, value: float) -> None:
    assert number_in(Cell(text, 3, 5), "a.csv", "hours", 0, 1e9, decimal="?") == value
    assert number(text, decimal=".") == value or value > 1e6


def test_units_are_converted() -> None:
    assert number("14 per million h", unit="per h") == pytest.approx(14e-6)


@pytest.mark.parametrize(
    ("cell", "text"), [("'=1", "=1"), ("''t", "'t"), ("'t", "'t"), ("=1", "=1"), ("-", "-")]
)
def test_an_apostrophe_before_a_formula_is_none_of_the_text(cell: str, text: str) -> None:
    assert plain_text(Cell(cell, 1, 1)) == text
