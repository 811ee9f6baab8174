"""Testability, sensitivity and criticality on the screen, on paper, as data and as rows."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from dataclasses import replace

import pytest

from faultiso.appraisal.criticality import criticality
from faultiso.appraisal.sensitivity.tornado import tornado
from faultiso.appraisal.testability import judgement
from faultiso.belief.reasoner import Reasoner
from faultiso.model.system import Model
from faultiso.report.csv_safe import csv_text
from faultiso.report.html import page_html
from faultiso.report.json_output import document
from faultiso.report.page import Page, Picture, Table
from faultiso.report.pages import criticality as grave
from faultiso.report.pages import sensitivity as numbers
from faultiso.report.pages import testability as signs
from faultiso.report.pages import testability_data as data
from faultiso.report.terminal import Look, render
from tests.appraisal.rigs import MISLEADING, RIG
from tests.report.test_debrief_pages import HOSTILE, is_alone_and_harmless, svgs
from tests.semantics.small import model

LOOKS = {"80": Look(80), "40": Look(40), "plain": Look(80, plain=True)}
READ = ["lamp = lit (running)"]
SEVERE = MISLEADING.replace("worn: {rate: 5e-3}", "worn: {rate: 5e-3, severity: II}")


def pages(rig: Model, lamp: Model) -> dict[str, tuple[Page, Page, str, str]]:
    """Of each answer the screen, the paper, the document and the rows."""
    judged, graded = judgement(rig, seconds=600), criticality(lamp, 10)
    turned = tornado(Reasoner(lamp).believe([("lamp", "lit")]), seconds=600)
    return {
        "testability": (
            signs.testability_screen(judged, [("Page", "rig.html")]),
            signs.testability_paper(judged),
            document(data.testability_record(judged), "generic"),
            csv_text(data.HEAD, data.testability_rows(judged), "generic"),
        ),
        "sensitivity": (
            numbers.sensitivity_screen(turned, READ),
            numbers.sensitivity_paper(turned, READ),
            document(numbers.sensitivity_record(turned, READ), "generic"),
            csv_text(numbers.HEAD, numbers.sensitivity_rows(turned), "generic"),
        ),
        "criticality": (
            grave.criticality_screen(graded),
            grave.criticality_paper(graded),
            document(grave.criticality_record(graded), "generic"),
            csv_text(grave.HEAD, grave.criticality_rows(graded), "generic"),
        ),
    }


@pytest.fixture(scope="module")
def made() -> dict[str, tuple[Page, Page, str, str]]:
    return pages(model(RIG), model(SEVERE))


NAMES = ("testability", "sensitivity", "criticality")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("look", LOOKS)
def test_the_screens_are_as_recorded(
    name: str, look: str, made: dict[str, tuple[Page, ...]], golden: Callable[[str, str], None]
) -> None:
    text = render(made[name][0], LOOKS[look])
    golden(f"{name}-{look}.txt", text)
    assert text.isascii() and all(len(line) <= LOOKS[look].width for line in text.split("\n"))


@pytest.mark.parametrize("name", NAMES)
def test_the_pages_and_documents_are_as_recorded(
    name: str, made: dict[str, tuple[Page, Page, str, str]], golden: Callable[[str, str], None]
) -> None:
    golden(f"{name}.html", page_html(made[name][1]))
    golden(f"{name}.json", made[name][2])


@pytest.mark.parametrize("name", NAMES)
def test_the_paper_stands_alone_and_each_plot_has_its_figures_in_a_table(
    name: str, made: dict[str, tuple[Page, Page, str, str]]
) -> None:
    paper = made[name][1]
    is_alone_and_harmless(page_html(paper))
    plots = [place for place, block in enumerate(paper.blocks) if isinstance(block, Picture)]
    assert (
        len(svgs(page_html(paper)))
        == len(plots)
        == {"testability": 1, "sensitivity": 2, "criticality": 0}[name]
    )
    assert all(any(isinstance(paper.blocks[p + step], Table) for step in (-1, 1)) for p in plots)


@pytest.mark.parametrize("name", NAMES)
def test_documents_and_rows_can_be_read(name: str, made: dict[str, tuple[Page, Page, str, str]]) -> None:
    _, _, text, rows = made[name]
    assert json.loads(text)["model"] == "small"
    remark, head, *cells = list(csv.reader(io.StringIO(rows.removeprefix("\ufeff"))))
    assert "not approved maintenance data" in remark[0]
    assert cells and all(len(row) == len(head) for row in cells)


def test_hostile_titles_are_harmless_everywhere() -> None:
    rig, lamp = replace(model(RIG), title=HOSTILE), replace(model(SEVERE), title=HOSTILE)
    for screen, paper, text, _ in pages(rig, lamp).values():
        is_alone_and_harmless(page_html(paper))
        for look in LOOKS.values():
            assert not {"\x1b", "\u202e", "\x00", "\x07"} & set(render(screen, look))
        assert text.isascii()


def test_bars_of_text_show_which_end_is_where() -> None:
    assert numbers.text_bars([(0.0, 1.0), (0.75, 0.5), (0.75, 1.0)], 0.5) == [
        "--------|++++++++",
        "........|----....",
        "........|----++++",
    ]
    assert numbers.text_bars([(0.5, 0.5)], 0.5) == ["........|........"]
    assert numbers.text_bars([], 0.5) == []


def test_what_was_not_judged_is_said() -> None:
    screen = render(signs.testability_screen(judgement(model(RIG), seconds=-1)))
    assert "write-up" not in screen or "time was too short" in screen
    turned = tornado(Reasoner(model(SEVERE)).believe([("lamp", "lit")]), seconds=-1)
    assert "the time was too short (--seconds): 2 numbers" in render(numbers.sensitivity_screen(turned, READ))


def test_a_model_without_severities_says_so() -> None:
    text = " ".join(render(grave.criticality_screen(criticality(model(MISLEADING)))).split())
    assert "None of the faults states a severity: ranked by rate alone." in text
    half = " ".join(render(grave.criticality_screen(criticality(model(SEVERE)))).split())
    assert "1 fault states no severity" in half
