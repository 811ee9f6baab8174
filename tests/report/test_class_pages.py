"""A class on the screen and on paper: as recorded, harmless, each plot with its figures below it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest

from faultiso.assessment.classes.attention import Aside
from faultiso.assessment.classes.earlier import earlier_of
from faultiso.assessment.classes.record import class_record
from faultiso.assessment.classes.report import ClassReport, class_report
from faultiso.report.html import page_html
from faultiso.report.json_output import document
from faultiso.report.page import Column, Page, Picture, Table
from faultiso.report.pages.class_paper import class_paper
from faultiso.report.pages.class_report import MOST_FIRST, class_screen, mark_words
from faultiso.report.terminal import Look, render
from tests.assessment.classes.made import OTHER, RUBRIC, a_class, outcome
from tests.report.test_debrief_pages import HOSTILE, is_alone_and_harmless, svgs

ASIDE = (
    Aside("field.jsonl", "unfinished", "unfinished at 22 min; no mark."),
    Aside("moss.jsonl", "altered", "line 41 was altered after it was written; not graded.", "7", "dry-brake"),
)
NAMES = {"1": "Reed", "2": "Tarn", "3": "Vale"}


def monday() -> ClassReport:
    earlier = json.loads(document(class_record(class_report("Sunday", a_class(20, 5), RUBRIC))))
    blind = {("1", "first-light"): 70.0, ("2", ""): 50.0, ("99", "dry-brake"): 3.0}
    work = a_class(14)
    return class_report(
        "Monday", work, RUBRIC, lambda n: NAMES.get(n, ""), ASIDE, (), blind, earlier_of(earlier)
    )


def test_the_page_is_as_recorded(golden: Callable[[str, str], None]) -> None:
    golden("class.html", page_html(class_paper(monday(), "invented")))


@pytest.mark.parametrize(
    ("name", "look"), [("80", Look(80)), ("40", Look(40)), ("plain", Look(80, plain=True))]
)
def test_the_screen_is_as_recorded(name: str, look: Look, golden: Callable[[str, str], None]) -> None:
    text = render(class_screen(monday(), "invented", [("Page", "monday.html")]), look)
    golden(f"class-{name}.txt", text)
    assert text.isascii() and all(len(line) <= look.width for line in text.split("\n"))


def test_the_record_is_as_recorded(golden: Callable[[str, str], None]) -> None:
    golden("class.json", document(class_record(monday()), "invented"))


def test_the_page_stands_alone_and_every_table_has_a_caption() -> None:
    text = page_html(class_paper(monday(), "invented"))
    reader = is_alone_and_harmless(text)
    assert len(svgs(text)) == 3
    for name in NAMES.values():
        assert name in reader.words
    for table in re.findall(r"<table>.*?</table>", text, re.DOTALL):
        assert re.search(r"<caption>\s*\S", table)


def test_below_each_plot_stands_a_table_with_its_figures() -> None:
    blocks = class_paper(monday()).blocks
    plots = [place for place, block in enumerate(blocks) if isinstance(block, Picture)]
    assert len(plots) == 3
    assert all(isinstance(blocks[place + 1], Table) for place in plots)


def test_the_screen_is_short_and_says_where_the_rest_is() -> None:
    many = class_report("Monday", [outcome(str(n), mark=30) for n in range(40)], RUBRIC)
    text = render(class_screen(many))
    assert f"{40 - MOST_FIRST} more; the page (--html) has all of them." in text
    assert text.count("\n") < 60


def test_nothing_shows_that_marks_mean_something_until_an_instructor_marked_too() -> None:
    work = [outcome(str(n), mark=70) for n in range(3)]
    assert "Nothing here shows yet" in render(class_screen(class_report("Monday", work, RUBRIC)))
    agreed = class_report("Monday", work, RUBRIC, blind={("1", "first-light"): 60.0})
    assert "proposed marks are 10.0 points higher on average" in " ".join(
        render(class_screen(agreed)).split()
    )


@pytest.mark.parametrize("work", [[], [outcome("14")], [outcome(str(n), mark=70) for n in range(12)]])
@pytest.mark.parametrize("aside", [(), ASIDE])
def test_a_class_of_nobody_of_one_and_of_equals_have_pages(work, aside) -> None:  # type: ignore[no-untyped-def]
    report = class_report("Monday", work, RUBRIC, aside=aside)
    for page in (class_screen(report), class_paper(report)):
        assert "nan" not in render(page).casefold().split()
        is_alone_and_harmless(page_html(page))


def test_a_mark_just_below_the_pass_mark_is_not_rounded_up_to_it() -> None:
    assert [mark_words(mark, 60) for mark in (None, 59.4, 59.6, 59.97, 60, 60.4)] == [
        "", "59", "59.6", "59.9", "60", "60",
    ]  # fmt: skip


def hostile() -> ClassReport:
    work = [
        outcome(
            HOSTILE if n else f"{HOSTILE} other", f"case {HOSTILE}", 40, gates=[HOSTILE], attention=[HOSTILE],
            named=[HOSTILE], silent=[(HOSTILE, 3)], wasted=[(HOSTILE, 2)], missed=[(HOSTILE, True)],
            stated=[(0.5, True)], title=HOSTILE, aims=[HOSTILE], path=HOSTILE,
        )
        for n in range(3)
    ]  # fmt: skip
    work += [outcome("", path=HOSTILE, named=[OTHER])]
    aside = [Aside(HOSTILE, HOSTILE, HOSTILE, HOSTILE, HOSTILE)]
    earlier = earlier_of(
        {"class": HOSTILE, "rubric": HOSTILE, "people": [], "cases": [{"name": HOSTILE, "n": 1, "mean": 3}]}
    )
    blind = {(HOSTILE, HOSTILE): 3.0}
    return class_report(HOSTILE, work, RUBRIC, lambda number: HOSTILE, aside, aside, blind, earlier)


def test_hostile_texts_are_harmless_everywhere() -> None:
    report = hostile()
    reader = is_alone_and_harmless(page_html(class_paper(report)))
    assert "<script>alert(1)</script>" in reader.words, "it is there as text"
    for look in (Look(40), Look(80), Look(80, plain=True)):
        text = render(class_screen(report), look)
        assert not {"\x1b", "\u202e", "\u2066", "\x00", "\x07"} & set(text)
    text = document(class_record(report))
    assert text.isascii() and not {"\x1b", "\x00", "\x07"} & set(text) and json.loads(text)["people"]


def test_without_names_no_name_is_anywhere() -> None:
    report = class_report("Monday", a_class(14), RUBRIC)
    text = page_html(class_paper(report)) + document(class_record(report)) + render(class_screen(report))
    assert not any(name in text for name in NAMES.values())


def test_cells_that_are_empty_are_not_shown_on_a_narrow_screen() -> None:
    page = Page("x", "", (Table((Column("a"), Column("b")), (("", "c"),), "t"),))
    assert "td:empty { display: none; }" in page_html(page)
