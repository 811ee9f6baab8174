"""Horizontal bars: shares of a whole, and what comes out when a number is changed either way.

Ink on white, told apart by form: full, hatched by white stripes, outlined. Small enough for a phone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from faultiso.base.notice import Subject
from faultiso.report.drawing.plots import FAINT, LEFT, RIGHT, SHADE, WIDTH
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

TOP, ROW, THICK = 64.0, 42.0, 14.0
PLACES = 4  # lines of the scale


@dataclass(frozen=True)
class Share:
    """A bar of 0 to 1 with its name above and ``words`` behind it; ``second`` bars are white."""

    name: str
    share: float
    words: str
    second: bool = False


@dataclass(frozen=True)
class Swing:
    """What a result becomes with a number at its low and at its high end."""

    name: str
    low: float
    high: float


def shares_svg(title: str, bars: Sequence[Share], about: str, subject: Subject) -> str:
    """Bars from 0 to all of it."""
    foot = TOP + ROW * len(bars)
    wide = WIDTH - LEFT - RIGHT - 60
    parts = [_line(LEFT + wide * tenth / 4, foot) for tenth in range(PLACES + 1)]
    for place, bar in enumerate(bars):
        top = TOP + ROW * place
        width = wide * min(max(bar.share, 0.0), 1.0)
        fill = "#ffffff" if bar.second else SHADE
        parts += [
            *_name(bar.name, top),
            element("rect", x=LEFT, y=top + 18, width=width, height=THICK, fill=fill, **STROKE),
            _on_white(bar.words, LEFT + width + 5, top + 18 + THICK - 3),
        ]
    parts.append(line([(LEFT, TOP), (LEFT, foot)]))
    return document(WIDTH, foot + 8, title, about, subject, parts)


def swings_svg(
    title: str, swings: Sequence[Swing], now: float, unit: str, about: str, subject: Subject
) -> str:
    """A tornado: grey to what the low end gives, white to the high end; a line at what it is now."""
    foot = TOP + ROW * len(swings)
    ends = [now, *(value for swing in swings for value in (swing.low, swing.high))]
    least, most = min(ends), max(ends)
    span = (most - least) or 1.0
    wide = WIDTH - LEFT - RIGHT

    def across(value: float) -> float:
        return LEFT + wide * (value - least) / span

    parts: list[str] = []
    for place, swing in enumerate(swings):
        parts += _swing(across(now), across(swing.low), across(swing.high), TOP + ROW * place + 18)
    parts.append(line([(across(now), TOP - 4), (across(now), foot)], stroke_width=1.5))
    for place, swing in enumerate(swings):
        parts += _name(swing.name, TOP + ROW * place)
    parts += _scale(least, most, foot, unit)
    return document(WIDTH, foot + 44, title, about, subject, parts)


def _swing(middle: float, low: float, high: float, top: float) -> Iterator[str]:
    """Both halves; where they lie on one side the shorter one is drawn narrower, over the longer one."""
    halves = [(low, SHADE), (high, "#ffffff")]
    halves.sort(key=lambda half: -abs(half[0] - middle))
    same_side = (low - middle) * (high - middle) > 0
    for number, (end, fill) in enumerate(halves):
        slim = 3.0 if same_side and number else 0.0
        left, width = min(end, middle), abs(end - middle)
        if width > 0:
            yield element(
                "rect", x=left, y=top + slim, width=width, height=THICK - 2 * slim, fill=fill, **STROKE
            )


def _name(name: str, top: float) -> Iterator[str]:
    (words,) = wrap(name, WIDTH - LEFT - RIGHT, most=1) or ("",)
    plate = element("rect", x=LEFT + 1, y=top + 2, width=text_width(words) + 4, height=14.0, fill="#ffffff")
    yield plate
    yield label([words], LEFT + 3, top + 13)


def _scale(least: float, most: float, foot: float, unit: str) -> Iterator[str]:
    yield line([(LEFT, foot), (WIDTH - RIGHT, foot)])
    wide = WIDTH - LEFT - RIGHT
    for place in range(PLACES + 1):
        x, value = LEFT + wide * place / PLACES, least + (most - least) * place / PLACES
        yield line([(x, foot), (x, foot + 4)])
        yield label([f"{value:.3g}"], x, foot + 17, text_anchor="middle")
    yield label([unit], LEFT + wide / 2, foot + 35, text_anchor="middle")


def _line(x: float, foot: float) -> str:
    return line([(x, TOP), (x, foot)], stroke=FAINT, stroke_width=0.5)


def _on_white(text: str, x: float, y: float) -> str:
    rim: Attributes = {"stroke": "#ffffff", "stroke_width": 4.0, "paint_order": "stroke"}
    return label([text], x, y, fill=INK, **rim)
