"""Plots of a class: how marks are spread, the marks of each case, stated beliefs against what was so.

All in ink on white, told apart by form: bars, boxes, rings, solid and dashed lines. Small enough for a phone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from faultiso.base.notice import Subject
from faultiso.report.drawing.svg import (
    INK,
    STROKE,
    Attributes,
    document,
    element,
    label,
    line,
    text_width,
    wrap,
)

WIDTH = 480.0
LEFT, RIGHT, TOP, HIGH = 56.0, 24.0, 80.0, 180.0
FAINT, SHADE = "#999999", "#d9d9d9"
ROW = 54.0
TENTHS = tuple(range(0, 101, 10))


@dataclass(frozen=True)
class Row:
    """Five numbers of one case, 0 to 100, and the mean."""

    name: str
    least: float
    lower: float
    median: float
    upper: float
    largest: float
    mean: float


def across(share: float) -> float:
    """The place of 0 to 1 from left to right."""
    return LEFT + (WIDTH - RIGHT - LEFT) * share


def spread_svg(title: str, counts: Sequence[int], pass_mark: float, subject: Subject) -> str:
    """Bars: how many people have marks from 0 to under 10, and so on; a dashed line at the pass mark."""
    most = max(*counts, 1)
    foot = TOP + HIGH
    parts = [*_levels(most, foot), _base(foot)]
    for place, count in enumerate(counts):
        left, right = across(place / 10) + 2, across((place + 1) / 10) - 2
        high = HIGH * count / most
        if count:
            bar = element(
                "rect", x=left, y=foot - high, width=right - left, height=high, fill=SHADE, **STROKE
            )
            parts += [bar, _centred(str(count), (left + right) / 2, foot - high - 5)]
    parts += [*_scale(foot), *_pass_mark(pass_mark, TOP - 6, foot)]
    about = "Bars: people by their mark, in tens. Dashed: the pass mark."
    return document(WIDTH, foot + 44, title, about, subject, parts)


def cases_svg(title: str, rows: Sequence[Row], pass_mark: float, subject: Subject) -> str:
    """A row for each case: a line from the lowest to the highest mark, a box over the middle half of the
    people, a stroke at the median, a ring at the mean."""
    foot = TOP + ROW * len(rows)
    parts = [
        line([(across(t / 100), TOP - 6), (across(t / 100), foot)], stroke=FAINT, stroke_width=0.5)
        for t in TENTHS
    ]
    parts += _pass_mark(pass_mark, TOP - 6, foot)
    for place, row in enumerate(rows):
        parts += _box(row, TOP + ROW * place)
    parts += _scale(foot)
    about = "Rows: marks of each case. Line: lowest to highest; box: middle half; stroke: median; ring: mean."
    return document(WIDTH, foot + 44, title, about, subject, parts)


def _box(row: Row, top: float) -> list[str]:
    """The name on white above, the box below."""
    middle = top + 36
    (name,) = wrap(row.name, WIDTH - LEFT - RIGHT - 8, most=1) or ("",)
    plate = element("rect", x=LEFT - 2, y=top + 6, width=text_width(name) + 6, height=16.0, fill="#ffffff")
    at = [across(value / 100) for value in (row.least, row.lower, row.median, row.upper, row.largest)]
    box = element(
        "rect", x=at[1], y=middle - 9, width=max(at[3] - at[1], 1.0), height=18.0, fill="#ffffff", **STROKE
    )
    ends = [line([(x, middle - 5), (x, middle + 5)]) for x in (at[0], at[4])]
    ring = element("circle", cx=across(row.mean / 100), cy=middle, r=4.0, fill=SHADE, **STROKE)
    stroke = line([(at[2], middle - 9), (at[2], middle + 9)], stroke_width=2.5)
    return [
        plate,
        label([name], LEFT, top + 18),
        line([(at[0], middle), (at[4], middle)]),
        *ends, box, stroke, ring,
    ]  # fmt: skip


def confidence_svg(title: str, bands: Sequence[tuple[float, float, int]], subject: Subject) -> str:
    """Rings at (stated, came true), each with how many statements; on the dashed line both would be equal."""
    foot = TOP + HIGH + 60
    high = HIGH + 60

    def up(share: float) -> float:
        return foot - high * share

    parts = []
    for tenth in TENTHS[::2]:
        y = up(tenth / 100)
        parts.append(line([(LEFT, y), (WIDTH - RIGHT, y)], stroke=FAINT, stroke_width=0.5))
        parts.append(label([str(tenth)], LEFT - 30, y + 4))
    parts.append(line([(across(0), up(0)), (across(1), up(1))], stroke_dasharray="6 4"))
    points = [(across(stated), up(true)) for stated, true, _ in bands]
    if points:
        parts.append(line(points, stroke_width=1.5))
    for (x, y), (_, _, count) in zip(points, bands, strict=True):
        parts.append(element("circle", cx=x, cy=y, r=5.0, fill="#ffffff", **STROKE))
        below = y + 20 if y < foot - 24 else y - 11
        parts.append(_on_white(str(count), min(x, WIDTH - RIGHT - 8), below))
    parts += [*_scale(foot, "stated, in 100"), label(["so, in 100"], LEFT - 44, TOP - 18)]
    about = "Rings: what was stated, and how often it was so; beside each how many. Dashed: both equal."
    return document(WIDTH, foot + 44, title, about, subject, parts)


def _levels(most: int, foot: float) -> list[str]:
    """Lines for numbers of people, at most five of them."""
    step = max(1, -(-most // 5))
    parts = [label(["people"], LEFT - 44, TOP - 18)]
    for count in range(0, most + 1, step):
        y = foot - HIGH * count / most
        parts.append(line([(LEFT, y), (WIDTH - RIGHT, y)], stroke=FAINT, stroke_width=0.5))
        parts.append(label([str(count)], LEFT - 30, y + 4))
    return parts


def _base(foot: float) -> str:
    return line([(LEFT, foot), (WIDTH - RIGHT, foot)])


def _scale(foot: float, what: str = "mark, in 100") -> list[str]:
    """Tens below the base line, and what they are."""
    figures = [_centred(str(tenth), across(tenth / 100), foot + 16) for tenth in TENTHS]
    return [_base(foot), *figures, _centred(what, (LEFT + WIDTH - RIGHT) / 2, foot + 34)]


def _pass_mark(mark: float, top: float, foot: float) -> list[str]:
    x = across(min(max(mark, 0.0), 100.0) / 100)
    words = f"pass mark {mark:g}"
    start = min(x + 5, WIDTH - RIGHT - text_width(words))
    dashes = line([(x, top - 20), (x, foot)], stroke_dasharray="6 4", stroke_width=1.5)
    return [dashes, label([words], start, top - 12, fill=INK)]


def _centred(text: str, x: float, y: float) -> str:
    return label([text], x, y, text_anchor="middle")


def _on_white(text: str, x: float, y: float) -> str:
    """Readable where lines pass behind it."""
    rim: Attributes = {"stroke": "#ffffff", "stroke_width": 4.0, "paint_order": "stroke"}
    return label([text], x, y, text_anchor="middle", **rim)
