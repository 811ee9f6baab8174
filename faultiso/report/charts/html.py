"""A chart for print: sheets that say on each page what they are, with connectors between the pages."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from faultiso.base.notice import full_notice, printed_notice
from faultiso.base.text import one_line
from faultiso.report.charts import sheets as paper
from faultiso.report.charts import wording
from faultiso.report.charts.chart import Chart
from faultiso.report.charts.page import caution_lines, twig_words
from faultiso.report.templates import template

if TYPE_CHECKING:
    from jinja2 import Template


def chart_html(chart: Chart) -> str:
    """The chart as one HTML document that needs nothing else; every foreign text is escaped."""
    sheets = paper.sheets_of(chart)
    pages = [
        [_shown(chart, sheets, part, number) for part in page] for number, page in enumerate(sheets.pages, 1)
    ]
    return _template().render(
        short=one_line(wording.name_words(chart), 70),
        title=wording.name_words(chart),
        band=printed_notice(chart.subject),
        notice=full_notice(chart.subject),
        pages=pages,
    )


def _shown(chart: Chart, sheets: paper.Sheets, part: paper.Part, here: int) -> dict[str, Any]:
    """A part with its words, for the template."""
    if part.kind == "step":
        return _step(chart, sheets, part, here)
    if part.kind == "twigs":
        place = paper.place_in_tree(sheets, here)
        rows = [(twig.depth, twig_words(chart, twig, place)) for twig in part.twigs]
        return {"kind": part.kind, "rows": rows}
    words = paper.heading_words(chart, sheets, part, here) if part.kind == "heading" else part.text
    return {"kind": part.kind, "text": one_line(words, 4000)}


def _step(chart: Chart, sheets: paper.Sheets, part: paper.Part, here: int) -> dict[str, Any]:
    entry = chart.entry(part.number)
    place = paper.place_in_table(sheets, here)
    begin, end = part.ways
    shown: dict[str, Any] = {
        "kind": "step",
        "number": entry.number,
        "head": wording.head(entry),
        "source": paper.comes_from(chart, sheets, entry),
        "cautions": [line.removeprefix("CAUTION: ") for line in caution_lines(chart, entry)],
        "said": [*entry.before, *entry.after, *wording.notes(entry)],
        "ways": [
            (way.outcome, wording.chance(way.probability), f"go to step {way.to}{place(way.to)}")
            for way in entry.ways[begin:end]
        ],
        "unfollowed": wording.unfollowed_words(entry) if end == len(entry.ways) else "",
    }
    if not begin:
        return shown
    source = f"continues from page {sheets.step_page[entry.number]}"
    return {**shown, "head": "The same step, further outcomes", "source": source, "cautions": [], "said": []}


@cache
def _template() -> Template:
    return template("faultiso.report.charts", "chart.html.jinja")
