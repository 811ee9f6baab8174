"""The tree of a chart as a drawing, from left to right; where a part ends it names the step that goes on.

Checks have square corners, changes of conditions and looks round ones, repairs a double outline, ends cut
corners: what a box is can be told without colour, and its words say it too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from faultiso.planning.tree import ENDS
from faultiso.report.charts import wording
from faultiso.report.charts.chart import Chart, Entry
from faultiso.report.charts.page import caution_lines, continues, opening
from faultiso.report.charts.pieces import Piece, Twig, pieces
from faultiso.report.drawing import svg

_BOX, _ACROSS, _MARGIN, _SPACE, _TOP = 190.0, 132.0, 20.0, 10.0, 44.0
_DEEPEST = 4
_MOST_LINES = 12


@dataclass(frozen=True)
class _Box:
    """A twig with its words and where it stands: left edge, top, height."""

    twig: Twig
    lines: tuple[str, ...]
    left: float
    top: float
    height: float

    @property
    def middle(self) -> float:
        return self.top + self.height / 2


def chart_svg(chart: Chart) -> str:
    """The tree as SVG text; the same chart gives the same text."""
    drawn = pieces(chart, _DEEPEST)
    deepest = max(twig.depth for piece in drawn for twig in piece.twigs)
    width = max(2 * _MARGIN + (deepest + 1) * _BOX + deepest * _ACROSS, 760.0)
    parts, y = _prose(chart, width)
    for piece in drawn:
        if piece.head != 1:
            parts.append(svg.line([(_MARGIN, y), (width - _MARGIN, y)], stroke_dasharray="2 4"))
            parts.append(svg.label([continues(chart, piece.head)], _MARGIN, y + 20, font_weight="bold"))
            y += 30
        boxes = _places(chart, piece, y)
        parts += _drawn(chart, boxes)
        y = max(box.top + box.height for box in boxes) + 2 * _SPACE
    about = "Fault isolation chart, from left to right."
    return svg.document(width, y, wording.name_words(chart), about, chart.subject, parts)


def _prose(chart: Chart, width: float) -> tuple[list[str], float]:
    """The sentences above the tree, cautions in full among them, and where they end."""
    said = [*opening(chart), *(f"CAUTION  {title}. {text}" for title, text in chart.cautions.values())]
    said += wording.left_out_words(chart)
    lines = [line for sentence in said for line in svg.wrap(sentence, width - 2 * _MARGIN, most=8)]
    return [svg.label(lines, _MARGIN, _TOP + 8)], _TOP + 8 + svg.LEADING * len(lines) + 8


def _places(chart: Chart, piece: Piece, top: float) -> list[_Box]:
    """A box for each line: the head of a branch beside its first outcome, outcomes below each other.

    ``bottom[d]`` is where the last box of column d ends; a box stands below every box of its own column and
    of those to the right that came before it.
    """
    boxes: list[_Box] = []
    bottom = [top] * (_DEEPEST + 2)
    for twig in piece.twigs:
        lines = _words(chart, twig)
        height = svg.LEADING * len(lines) + 12
        start = max(bottom[twig.depth :])
        showed = len(_showed(twig)) * svg.LEADING
        y = max(start + max(0.0, showed - height / 2 - _SPACE / 2), boxes[-1].top if boxes else top)
        boxes.append(_Box(twig, lines, _MARGIN + twig.depth * (_BOX + _ACROSS), y, height))
        bottom[twig.depth] = y + height + _SPACE
        bottom[twig.depth + 1 :] = [y] * (len(bottom) - twig.depth - 1)
    return boxes


def _words(chart: Chart, twig: Twig) -> tuple[str, ...]:
    if not twig.here:
        return (f"go to step {twig.number}",)
    entry = chart.entry(twig.number)
    said = [f"{entry.number}  {wording.head(entry)}", *caution_lines(chart, entry)]
    said += [*entry.before, *entry.after, *wording.notes(entry)]
    said += filter(None, [wording.unfollowed_words(entry)])
    lines = (line for text in said for line in svg.wrap(text, _BOX - 20, most=_MOST_LINES))
    return tuple(lines)


def _showed(twig: Twig) -> list[str]:
    if twig.way is None:
        return []
    return [*svg.wrap(twig.way.outcome, _ACROSS - 44, most=3), wording.chance(twig.way.probability)]


def _drawn(chart: Chart, boxes: list[_Box]) -> Iterator[str]:
    """Lines first, so that boxes lie on them."""
    parents: dict[int, tuple[_Box, float]] = {}  # by depth, with the height at which lines leave it
    for box, after in zip(boxes, [*boxes[1:], boxes[0]], strict=True):
        leaves = min(max(after.middle, box.top + 8), box.top + box.height - 8)
        parents[box.twig.depth] = box, leaves
        if box.twig.way:
            yield _arrow(*parents[box.twig.depth - 1], box)
    for box in boxes:
        yield _outline(chart.entry(box.twig.number), box)
        yield svg.label(box.lines, box.left + 10, box.top + 17)


def _arrow(parent: _Box, leaves: float, box: _Box) -> str:
    """Out of the parent at the height given, down its stem, into the box; what was shown stands above."""
    start = parent.left + _BOX
    stem = start + 22
    points = [(start, leaves), (stem, leaves), (stem, box.middle), (box.left, box.middle)]
    showed = _showed(box.twig)
    words = svg.label(showed, stem + 6, box.middle - 5 - svg.LEADING * (len(showed) - 1))
    return svg.line(points, stroke_width=1.1) + svg.arrow(box.left, box.middle) + words


def _outline(entry: Entry, box: _Box) -> str:
    x, y, right, foot = box.left, box.top, box.left + _BOX, box.top + box.height
    if not box.twig.here:
        return svg.polygon([(x, y), (right, y), (right, foot), (x, foot)], stroke_dasharray="5 3")
    if entry.kind in ENDS:
        cut = 8.0
        corners = [(x + cut, y), (right - cut, y), (right, y + cut), (right, foot - cut)]
        corners += [(right - cut, foot), (x + cut, foot), (x, foot - cut), (x, y + cut)]
        return svg.polygon(corners, stroke_width=1.3)
    round_ = 10.0 if entry.kind in ("look", "change of conditions") else 0.0
    frame: svg.Attributes = {"x": x, "y": y, "width": _BOX, "height": box.height, "rx": round_}
    outer = svg.element("rect", **(svg.OUTLINE | frame), stroke_width=1.3)
    if entry.kind != "repair":
        return outer
    inner: svg.Attributes = {"x": x + 3, "y": y + 3, "width": _BOX - 6, "height": box.height - 6}
    return outer + svg.element("rect", **(svg.OUTLINE | inner), stroke_width=0.8)
