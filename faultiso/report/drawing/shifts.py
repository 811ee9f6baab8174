"""Figures before and after, as how many times the old figure: dashed before, solid after."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from faultiso.base.notice import Subject
from faultiso.report.drawing.svg import STROKE, document, element, label, line, text_width, wrap

WIDTH = 640.0
LEFT, RIGHT, TOP, ROW = 250.0, 24.0, 70.0, 26.0
FAINT = "#999999"
MOST = 100.0  # times the old figure, and as many parts of it: what is beyond stands at the edge
MARKS = (0.01, 0.1, 0.3, 1.0, 3.0, 10.0, 100.0)


@dataclass(frozen=True)
class Shift:
    """A figure: the ends of its interval before, its mean and the ends after, all over the old figure."""

    name: str
    before: tuple[float, float]
    after: float
    interval: tuple[float, float]


def shifts_svg(title: str, shifts: Sequence[Shift], subject: Subject) -> str:
    """A row for each figure on a logarithmic scale that holds them all."""
    wide = max(
        [
            3.0,
            *(max(each.interval[1], each.before[1], 1 / max(each.interval[0], 1 / MOST)) for each in shifts),
        ]
    )
    wide = min(wide, MOST)
    foot = TOP + ROW * max(len(shifts), 1)
    marks = [mark for mark in MARKS if 1 / wide <= mark <= wide]
    parts = [
        line([(_at(m, wide), TOP - 6), (_at(m, wide), foot)], stroke=FAINT, stroke_width=0.5) for m in marks
    ]
    for place, shift in enumerate(shifts):
        parts += _row(shift, TOP + ROW * (place + 0.5), wide)
    parts += [label([f"{m:g}"], _at(m, wide), foot + 16, text_anchor="middle") for m in marks]
    parts.append(label(["times the old figure"], (LEFT + WIDTH - RIGHT) / 2, foot + 34, text_anchor="middle"))
    about = "Rows: 90 in 100 intervals, dashed before, solid after; ring: the figure proposed."
    return document(WIDTH, foot + 44, title, about, subject, parts)


def _row(shift: Shift, y: float, wide: float) -> list[str]:
    (name,) = wrap(shift.name, LEFT - 16, most=1) or ("",)
    before, after = (
        [(_at(end, wide), y + down) for end in ends]
        for ends, down in ((shift.before, 4), (shift.interval, -3))
    )
    ring = element("circle", cx=_at(shift.after, wide), cy=y - 3, r=4.0, fill="#ffffff", **STROKE)
    return [
        label([name], LEFT - 10 - text_width(name), y + 4),
        line(before, stroke_dasharray="4 3"),
        line(after, stroke_width=2.0),
        ring,
    ]


def _at(times: float, wide: float) -> float:
    share = math.log(min(max(times, 1 / wide), wide)) / math.log(wide)
    return LEFT + (WIDTH - RIGHT - LEFT) * (share + 1) / 2
