"""Charts on paper, as a drawing and as Markdown: the notice on each page, ways that lead where they say."""

from __future__ import annotations

import re
import shutil
import subprocess
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from faultiso.base.notice import full_notice, printed_notice
from faultiso.planning.tree import Branch, Certificate, Plan, Step
from faultiso.report.charts.chart import Chart, chart_of
from faultiso.report.charts.html import chart_html
from faultiso.report.charts.markdown import chart_markdown
from faultiso.report.charts.picture import chart_svg
from faultiso.report.charts.sheets import ROOM, sheets_of
from tests.charts.plans import REFER, big_plan, rig, small_plan

SVG = "{http://www.w3.org/2000/svg}"
EVIL = "</p><script>alert(1)</script> {{ 7*7 }} & \x1b[31m [a](b) `c` *d* # e"


def small() -> Chart:
    return chart_of(small_plan(), rig(), complaint="Platform slow to lift.")


def big() -> Chart:
    return chart_of(big_plan(), rig(), title="Lifting bench, long chart")


def evil() -> Chart:
    step = Step("check", EVIL, EVIL, 1, 2, (Branch(EVIL, 1.0, REFER),))
    return chart_of(Plan(step, Certificate(2, 1, EVIL), (EVIL,)), title=EVIL, complaint=EVIL)


def many_outcomes() -> Chart:
    ends = tuple(
        Branch(f"code {n}", 1 / 150, Step("isolated", str(n), f"unit {n}", 0, 0)) for n in range(150)
    )
    return chart_of(Plan(Step("check", "c", "read the code", 2, 2, ends), Certificate(2, 2, "exact")))


class Pages(HTMLParser):
    """The words of each sheet."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.sheets: list[str] = []
        self.tags: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        if ("class", "sheet") in attrs:
            self.sheets.append("")

    def handle_data(self, data):
        if self.sheets:
            self.sheets[-1] += f" {data.strip()}"


@pytest.mark.parametrize("make", [small, big])
def test_as_written(make, golden):
    golden(f"charts/{make.__name__}.html", chart_html(make()))
    golden(f"charts/{make.__name__}.svg", chart_svg(make()))
    golden(f"charts/{make.__name__}.md", chart_markdown(make()))


@pytest.mark.parametrize("make", [small, big, evil, many_outcomes])
def test_every_sheet_says_what_it_is(make):
    chart = make()
    sheets = Pages(chart_html(chart)).sheets
    assert len(sheets) == len(sheets_of(chart).pages)
    for number, words in enumerate(sheets, 1):
        assert words.count(printed_notice(chart.subject)) == 2 and full_notice(chart.subject) in words
        assert f"page {number} of {len(sheets)}" in " ".join(words.split())


@pytest.mark.parametrize("make", [small, big, many_outcomes])
def test_every_line_leads_to_the_page_that_has_the_step(make):
    chart = make()
    found = sheets_of(chart)
    text = chart_html(chart)
    sheets = [" ".join(words.split()) for words in Pages(text).sheets]
    at = {"table": found.step_page, "tree": found.tree_page}
    first_of_tree = min(found.tree_page.values())
    led = 0
    for here, words in enumerate(sheets, 1):
        pages = at["table" if here < first_of_tree else "tree"]
        for number, page in re.findall(r"go to step (\d+)(?:, page (\d+))?", words):
            assert pages[int(number)] == int(page or here)
            led += 1
    assert led >= sum(len(entry.ways) for entry in chart.entries)
    for entry in chart.entries:
        assert f'id="step-{entry.number}"' in text


@pytest.mark.parametrize("make", [small, big, evil, many_outcomes])
def test_no_sheet_is_fuller_than_it_is(make):
    for page in sheets_of(make()).pages:
        assert sum(part.lines for part in page) <= ROOM + 1e-9


def test_printed_words():
    assert printed_notice("invented") == "TRAINING, invented system, uncontrolled when printed"
    assert printed_notice("training_rig") == "TRAINING, training rig, uncontrolled when printed"
    assert printed_notice("generic") == "TRAINING, generic system, uncontrolled when printed"


def test_foreign_text_stays_text():
    chart = evil()
    found = Pages(chart_html(chart))
    assert (
        "script" not in found.tags and "alert(1)" in " ".join(found.sheets) and "{{ 7*7 }}" in found.sheets[0]
    )
    tree = ElementTree.fromstring(chart_svg(chart))
    assert not list(tree.iter(f"{SVG}script"))
    text = chart_markdown(chart)
    assert "<script" not in text.replace("\\<script", "") and "[a]" not in text.replace("\\[a\\]", "")
    assert not any("\x1b" in out for out in (chart_html(chart), chart_svg(chart), text))


@pytest.mark.parametrize("make", [small, big, many_outcomes])
def test_boxes_of_a_drawing_stand_apart_inside_it_and_show_every_step(make):
    chart = make()
    tree = ElementTree.fromstring(chart_svg(chart))
    width, height = float(tree.get("width")), float(tree.get("height"))
    boxes = list(outlines(tree))
    for i, (x, y, right, foot) in enumerate(boxes):
        assert x >= 0 and right <= width and y >= 0 and foot <= height
        for a, b, c, d in boxes[i + 1 :]:
            assert right <= a or c <= x or foot <= b or d <= y
    texts = [" ".join("".join(t.itertext()) for t in label) for label in tree.iter(f"{SVG}text")]
    for entry in chart.entries:
        assert any(text.startswith(f"{entry.number} ") for text in texts)
    assert "not approved maintenance data" in " ".join(texts)


def outlines(tree):
    for box in tree.iter():
        if box.tag == f"{SVG}rect" and box.get("stroke-width") == "1.3":
            x, y = float(box.get("x")), float(box.get("y"))
            yield x, y, x + float(box.get("width")), y + float(box.get("height"))
        elif box.tag == f"{SVG}polygon" and box.get("fill") == "#ffffff":
            xs, ys = zip(*(map(float, p.split(",")) for p in box.get("points").split()), strict=True)
            yield min(xs), min(ys), max(xs), max(ys)


@pytest.mark.long
@pytest.mark.skipif(not shutil.which("chromium"), reason="needs a browser that prints")
@pytest.mark.parametrize("make", [small, big, many_outcomes])
def test_printed_on_as_many_pages_as_it_says(make, tmp_path):
    page = tmp_path / "chart.html"
    page.write_text(chart_html(make()), encoding="utf-8")
    words = ["chromium", "--headless", "--no-sandbox", f"--user-data-dir={tmp_path}/browser"]
    words += ["--no-pdf-header-footer", f"--print-to-pdf={tmp_path}/chart.pdf", page.as_uri()]
    subprocess.run(words, check=True, capture_output=True, timeout=120)
    printed = re.findall(rb"/Type\s*/Page\b", (tmp_path / "chart.pdf").read_bytes())
    assert len(printed) == len(sheets_of(make()).pages)
