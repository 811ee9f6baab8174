"""A page as lines: at 40, 80 and 120 columns, read aloud, in colour and without."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.text import width
from faultiso.report.page import (
    Block,
    Caution,
    Column,
    Details,
    Heading,
    Items,
    KeyValues,
    Lines,
    Outline,
    Page,
    Picture,
    Snippet,
    Table,
    Text,
)
from faultiso.report.terminal import Look, render

CHECKS = Table(
    (Column("", "number"), Column("What you did"), Column("min", "minutes"), Column("it told you")),
    (
        ("1", "read quantity 1", "1", "much"),
        (
            "2",
            "test gauge, pump 1 outlet, engine 1 at idle, two people",
            "33",
            "much: it parted the pump from its switch",
        ),
        ("3", "restore the gauge", "4", ""),
    ),
)
BLOCKS: tuple[Block, ...] = (
    Heading("Write-up"),
    Text("Engine start at the stand. Pump 1 caution stayed on at idle. Shut down.", indent=2),
    Caution(
        "Fluid under pressure. Zero pressure is proved by a second, independent means before any work starts."
    ),
    Caution("fluid under pressure", again=True),
    CHECKS,
    KeyValues((("for", "pressure 1 reduced in cruise"), ("against", "nothing yet"))),
    Items(("read quantity 1 on the display", "look at the rod of reservoir 1"), numbered=True),
    Lines(("  a", "    b")),
    Outline(((0, "9", "look at the rod"), (0, "", "full: go to step 10"), (1, "10", "read the gauge"))),
    Outline(((0, "", "look at the rod"), (1, "", "full: read the gauge")), nested=True),
    Text("tug.yaml:23:13: no condition is called moter", hang=4),
    Snippet(23, "  - {when: {moter: stopped}, then: out}", 12, 5),
    Picture("Flow", "<svg/>", "reservoir feeds pump 1"),
)
PAGE = Page("Whinchat hydraulics", "invented", BLOCKS, (Caution("Propeller arc."),), last=True)


def test_every_kind_of_block_is_on_the_page() -> None:
    assert {type(block) for block in BLOCKS} == set(get_args(Block)) - {Details}  # those are for pages


@pytest.mark.parametrize("columns", [40, 80, 120])
def test_lines_fit_the_screen(columns: int, golden: Callable[[str, str], None]) -> None:
    text = render(PAGE, Look(columns))
    assert max(map(width, text.splitlines())) <= columns
    golden(f"page-{columns}.txt", text)


def test_read_aloud_there_are_no_columns(golden: Callable[[str, str], None]) -> None:
    text = render(PAGE, Look(80, plain=True))
    assert "  1  What you did: read quantity 1\n  it told you: much\n  min: 1\n" in text
    golden("page-plain.txt", text)


@given(
    st.lists(st.lists(st.integers(1, 34), min_size=1, max_size=4), min_size=3, max_size=3),
    st.integers(40, 130),
)
def test_a_table_of_long_names_fits_the_screen(cells: list[list[int]], columns: int) -> None:
    row = tuple(" and ".join("n" * length for length in words) for words in cells)
    table = Table(
        (Column("faults"), Column("repairs"), Column("told apart by"), Column("n", "number")), ((*row, "1"),)
    )
    assert max(map(width, render(Page("", blocks=(table,)), Look(columns)).splitlines())) <= columns


def test_minutes_come_last_where_columns_become_lines() -> None:
    text = render(Page("", blocks=(CHECKS,)), Look(40))
    assert text.index("it told you: much") < text.index("min: 1\n")


def test_colour_says_nothing_that_the_words_do_not() -> None:
    coloured = render(PAGE, Look(80, colour=True))
    assert "\x1b[1m" in coloured
    assert re.sub("\x1b\\[[0-9]+m", "", coloured) == render(PAGE, Look(80))


@given(st.sampled_from(["invented", "training_rig", "generic", ""]), st.integers(20, 130), st.booleans())
def test_no_look_leaves_out_the_notice_or_a_caution(subject: str, columns: int, plain: bool) -> None:
    text = render(replace(PAGE, subject=subject), Look(columns, plain=plain))  # type: ignore[arg-type]
    words = " ".join(text.split())
    assert words.count("not approved maintenance data") == 2
    assert "current approved data, local rules, licensed staff" in words
    assert "CAUTION Propeller arc." in words and "CAUTION Fluid under pressure." in words
    assert text.index("Propeller") < text.index("Write-up")


@given(st.text(max_size=60), st.integers(20, 100), st.booleans())
def test_foreign_text_does_not_reach_the_screen_uncleaned(text: str, columns: int, plain: bool) -> None:
    foreign = f"{text}\x1b[2J\u202e\x00"
    page = Page(
        foreign,
        blocks=(
            Heading(foreign),
            Text(foreign),
            Lines((foreign,)),
            Items((foreign,)),
            KeyValues(((foreign, foreign),)),
            Table((Column(foreign), Column("b")), ((foreign, foreign),)),
            Caution(foreign),
            Snippet(1, foreign, 1, 200),
            Picture(foreign, "", foreign),
        ),
    )
    shown = render(page, Look(columns, plain=plain))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", shown)


def test_carets_stand_below_the_word_however_long_the_line() -> None:
    for line in ("    then: litt}", "x" * 300 + "litt" + "y" * 300, "\ttab litt", "\u4e2d\u4e2d litt"):
        for columns in (40, 80):
            page = Page("", blocks=(Snippet(7, line, line.index("litt") + 1, 4),))
            above, below = render(page, Look(columns)).splitlines()[-2:]
            before = below[: below.index("^")]
            found = above.index("litt")
            assert width(above[:found]) == len(before)
            assert below.endswith("^^^^") and width(above) <= columns
            assert above.count("...") == (2 if len(line) > 100 else 0)


def test_a_row_has_a_cell_for_each_column() -> None:
    with pytest.raises(ValueError, match="one cell"):
        Table((Column("a"), Column("b")), (("1",),))
