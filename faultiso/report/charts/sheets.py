"""A chart laid out on sheets of paper before it is written, so that every line can name a page.

How tall a line comes out is estimated, rather too much than too little: a sheet that is said to be full is
never printed on two. Lengths are in lines of text; a sheet is a little less than A4 and than US Letter.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Literal

from faultiso.base.figures import capital
from faultiso.report.charts import wording
from faultiso.report.charts.chart import Chart, Entry
from faultiso.report.charts.page import caution_lines, continues, opening, twig_words
from faultiso.report.charts.pieces import Piece, Twig, pieces
from faultiso.report.drawing.svg import wrap

ROOM, _HEADING = 45.0, 2.3
#: Widths in the units of the estimate, in which letters are 12 high.
_LINE, _STEP, _HEAD, _SOURCE, _OUTCOME, _INDENT = 590.0, 545.0, 370.0, 210.0, 300.0, 20.0
_DEEPEST = 7
_MOST_SOURCES = 6
Kind = Literal["title", "heading", "text", "caution", "left out", "step", "twigs"]
Place = Callable[[int], str]


@dataclass(frozen=True)
class Part:
    """Something that is not parted between two sheets; ``number`` is that of a step, 0 for none.

    ``ways``: which outcomes of the step it has, from and up to; one with very many takes several parts.
    """

    kind: Kind
    lines: float
    text: str = ""
    number: int = 0
    twigs: tuple[Twig, ...] = ()
    ways: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class Sheets:
    """Parts by sheet; where the table has each step and where the tree draws it on, by page number."""

    pages: tuple[tuple[Part, ...], ...]
    step_page: dict[int, int] = field(default_factory=dict)
    tree_page: dict[int, int] = field(default_factory=dict)


def sheets_of(chart: Chart) -> Sheets:
    """The sheets of a chart: sentences and table, then the tree from a new sheet, and what is left out."""
    table = list(
        _filled([*_front(chart), *(part for entry in chart.entries for part in _step(chart, entry))])
    )
    tree = list(_filled([*_tree(chart), *_end(chart)]))
    pages = (*table, *tree)
    begun = [(n, p) for n, page in enumerate(pages, 1) for p in page if p.kind == "step" and not p.ways[0]]
    step_page = {part.number: n for n, part in begun}
    tree_page = {
        twig.number: n for n, page in enumerate(pages, 1) for part in page for twig in part.twigs if twig.here
    }
    return Sheets(pages, step_page, tree_page)


def _filled(parts: Iterable[Part]) -> Iterator[tuple[Part, ...]]:
    """Parts on as few sheets as they need; a heading never stands alone at the foot of one."""
    page: list[Part] = []
    for part in parts:
        if page and sum(p.lines for p in page) + part.lines > ROOM:
            carried = [page.pop()] if len(page) > 1 and page[-1].kind == "heading" else []
            yield tuple(page)
            page = carried
        page.append(part)
    if page:
        yield tuple(page)


def _front(chart: Chart) -> Iterator[Part]:
    yield Part("title", 1.5 * _lines(wording.name_words(chart), 370) + 0.7, wording.name_words(chart))
    for sentence in opening(chart):
        yield Part("text", _lines(sentence) + 0.35, sentence)
    for title, text in chart.cautions.values():
        words = f"{capital(title)}. {text}".strip()
        yield Part("caution", _lines(words, _LINE - 60) + 0.6, words)
    yield Part("heading", _HEADING, "Steps")


def _step(chart: Chart, entry: Entry) -> Iterator[Part]:
    said = [*caution_lines(chart, entry), *entry.before, *entry.after, *wording.notes(entry)]
    said += filter(None, [wording.unfollowed_words(entry)])
    source = ", ".join(["from step"] + ["888 (page 88)"] * min(len(entry.came_from), _MOST_SOURCES + 1))
    lines = max(_lines(wording.head(entry), _HEAD), _lines(source, _SOURCE) * 0.85) + 0.6
    lines += sum(_lines(text, _STEP) for text in said)
    begin = 0
    for number, way in enumerate(entry.ways):
        more = _lines(way.outcome, _OUTCOME) + 0.07
        if lines + more > ROOM - _HEADING and number > begin:
            yield Part("step", lines, number=entry.number, ways=(begin, number))
            begin, lines = number, 1.6
        lines += more
    yield Part("step", lines, number=entry.number, ways=(begin, len(entry.ways)))


def _tree(chart: Chart) -> Iterator[Part]:
    yield Part("heading", _HEADING, "The same as a tree")

    def size(twig: Twig) -> float:
        return _twig_lines(chart, twig)

    for piece in pieces(chart, _DEEPEST, ROOM - 8, size):
        if piece.head != 1:
            yield Part("heading", _HEADING, number=piece.head)
        yield from _parts_of(piece, size)


def _parts_of(piece: Piece, size: Callable[[Twig], float]) -> Iterator[Part]:
    """The piece as one part; one that is taller than a sheet in parts that fit."""
    run: list[Twig] = []
    lines = 0.6
    for twig in piece.twigs:
        more = size(twig)
        if run and lines + more > ROOM - 8:
            yield Part("twigs", lines, twigs=tuple(run))
            run, lines = [], 0.6
        run.append(twig)
        lines += more
    yield Part("twigs", lines, twigs=tuple(run))


def _twig_lines(chart: Chart, twig: Twig) -> float:
    words = twig_words(chart, twig, lambda number: ", page 88")
    return _lines(words, _LINE - 12 - _INDENT * twig.depth) + 0.2


def _end(chart: Chart) -> Iterator[Part]:
    left_out = wording.left_out_words(chart)
    if left_out:
        yield Part("heading", _HEADING, "Left out")
    for sentence in left_out:
        yield Part("left out", _lines(sentence) + 0.35, sentence)


def _lines(text: str, room: float = _LINE) -> int:
    return len(wrap(text, room, most=200))


def comes_from(chart: Chart, sheets: Sheets, entry: Entry) -> str:
    """ "from step 4, page 1": the way back for a finger; pages only where they differ."""
    here = sheets.step_page[entry.number]
    pages = [sheets.step_page[number] for number in entry.came_from]
    shown = [
        f"{number}" if page == here else f"{number} (page {page})"
        for number, page in list(zip(entry.came_from, pages, strict=True))[:_MOST_SOURCES]
    ]
    more = ", ..." if len(entry.came_from) > _MOST_SOURCES else ""
    return f"from step {', '.join(shown)}{more}" if shown else ""


def place_in_table(sheets: Sheets, here: int) -> Place:
    """Adds ", page 3" where a step stands on another page than ``here``."""
    return lambda number: "" if sheets.step_page[number] == here else f", page {sheets.step_page[number]}"


def place_in_tree(sheets: Sheets, here: int) -> Place:
    """The same for where the tree draws a step on."""
    return lambda number: "" if sheets.tree_page[number] == here else f", page {sheets.tree_page[number]}"


def heading_words(chart: Chart, sheets: Sheets, part: Part, here: int) -> str:
    """A heading; that of a piece of the tree says where it continues from."""
    return part.text or continues(chart, part.number, place_in_tree(sheets, here))
