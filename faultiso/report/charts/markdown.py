"""A chart as Markdown: a numbered list that names steps, then the tree as nested items."""

from __future__ import annotations

import re
from collections.abc import Iterator

from faultiso.base.figures import capital
from faultiso.base.notice import full_notice, printed_notice
from faultiso.base.text import clean
from faultiso.report.charts import wording
from faultiso.report.charts.chart import Chart, Entry
from faultiso.report.charts.page import caution_lines, continues, opening, twig_words
from faultiso.report.charts.pieces import pieces

_DEEPEST = 6
_MEANS_SOMETHING = re.compile(r"([\\`*_{}\[\]<>#|~!&$])")
_BEGINS_A_LIST = re.compile(r"^(\s*)([-+]|\d+(?=[.)]))")


def chart_markdown(chart: Chart) -> str:
    """The chart as Markdown text; nothing in a title acts as markup."""
    return "\n".join(_lines(chart)) + "\n"


def _lines(chart: Chart) -> Iterator[str]:
    yield f"# {_plain(wording.name_words(chart))}"
    yield f"\n**{_plain(printed_notice(chart.subject))}.** {_plain(full_notice(chart.subject))}"
    for sentence in opening(chart):
        yield f"\n{_plain(sentence)}"
    for title, text in chart.cautions.values():
        yield f"\n> **CAUTION** {_plain(f'{capital(title)}. {text}'.strip())}"
    yield "\n## Steps"
    for entry in chart.entries:
        yield from _step(chart, entry)
    yield "\n## The same as a tree"
    for piece in pieces(chart, _DEEPEST):
        yield f"\n### {_plain(continues(chart, piece.head))}\n" if piece.head != 1 else ""
        yield from ("  " * twig.depth + "- " + _plain(twig_words(chart, twig)) for twig in piece.twigs)
    if left_out := wording.left_out_words(chart):
        yield "\n## Left out\n"
        yield from (f"- {_plain(sentence)}" for sentence in left_out)


def _step(chart: Chart, entry: Entry) -> Iterator[str]:
    yield f"\n**Step {entry.number}.** {_plain(wording.head(entry))}\n"
    yield from (
        f"- **CAUTION:** {_plain(line.removeprefix('CAUTION: '))}" for line in caution_lines(chart, entry)
    )
    unfollowed = filter(None, [wording.unfollowed_words(entry)])
    ways = (wording.way_words(way) for way in entry.ways)
    for line in (*entry.before, *entry.after, *wording.notes(entry), *ways, *unfollowed):
        yield f"- {_plain(line)}"


def _plain(text: str) -> str:
    escaped = _MEANS_SOMETHING.sub(r"\\\1", clean(text).replace("\n", " "))
    return _BEGINS_A_LIST.sub(r"\1\\\2", escaped) if not escaped[:1].isdigit() else escaped
