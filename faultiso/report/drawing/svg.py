"""The few things a drawing is made of, as SVG text; every foreign text is cleaned and escaped here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from faultiso.base.notice import PRINTED, Subject, full_notice
from faultiso.base.text import one_line

FONT = "Arial, Liberation Sans, Helvetica, sans-serif"
INK = "#1a1a1a"
SIZE = 12.0
Attributes = dict[str, str | float]
STROKE: Attributes = {"stroke": INK}
OUTLINE: Attributes = {"fill": "#ffffff", "stroke": INK}
LEADING = 15.0
#: On paper the whole drawing fits the sheet; ":root" leaves a page alone that the drawing stands in.
_PRINT = "@media print { svg:root { width: 100%; height: 96vh } }"
_NARROW, _WIDE = frozenset("iljtfrI.,:;'|!()[]- "), frozenset("mwMW@%")


def text_width(text: str, size: float = SIZE) -> float:
    """How wide a text comes out, rather too much than too little: no font is asked."""
    return size * sum(_em(character) for character in text)


def _em(character: str) -> float:
    if character in _NARROW:
        return 0.36
    if character in _WIDE:
        return 0.92
    return 0.74 if character.isupper() or ord(character) > 0x2FF else 0.56


def wrap(text: str, width: float, most: int = 4, size: float = SIZE) -> list[str]:
    """The text in at most ``most`` lines that fit; what does not fit ends in "..."."""
    lines: list[str] = []
    for word in one_line(text).split():
        for piece in _pieces(word, width, size):
            longer = f"{lines[-1]} {piece}" if lines else piece
            if lines and text_width(longer, size) <= width:
                lines[-1] = longer
            else:
                lines.append(piece)
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and text_width(last + "...", size) > width:
        last = last[:-1]
    return [*lines[: most - 1], last.rstrip() + "..."]


def _pieces(word: str, width: float, size: float) -> list[str]:
    """A word that is wider than the line, in parts, cut behind a dot or "_" if there is one."""
    pieces: list[str] = []
    piece = ""
    for character in word:
        if piece and text_width(piece + character, size) > width:
            cut = max(piece.rfind(sign) for sign in "._-/") + 1 or len(piece)
            pieces, piece = [*pieces, piece[:cut]], piece[cut:]
        piece += character
    return [*pieces, piece]


def number(value: float) -> str:
    """A coordinate, the same on every machine."""
    return f"{value:.1f}".removesuffix(".0")


def element(name: str, body: str = "", /, **attributes: str | float) -> str:
    """One element; ``stroke_width`` becomes ``stroke-width``, numbers are written alike."""
    written = "".join(f' {key.replace("_", "-")}="{_value(value)}"' for key, value in attributes.items())
    return f"<{name}{written}>{body}</{name}>" if body else f"<{name}{written}/>"


def _value(value: str | float) -> str:
    return escape(value) if isinstance(value, str) else number(value)


def label(lines: Sequence[str], x: float, y: float, /, **attributes: str | float) -> str:
    """Lines of text, ``y`` the base line of the first."""
    spans = "".join(
        element("tspan", escape(one_line(line)), x=x, y=y + LEADING * i)
        for i, line in enumerate(lines)
        if line
    )
    return element("text", spans, **attributes) if spans else ""


def centred(lines: Sequence[str], x: float, y: float, /, **attributes: str | float) -> str:
    """Lines of text around a point."""
    top = y - LEADING * (len(lines) - 1) / 2 + SIZE * 0.36
    return label(lines, x, top, text_anchor="middle", **attributes)


def line(points: Sequence[tuple[float, float]], /, **attributes: str | float) -> str:
    """A line through the points."""
    path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polyline", points=path, fill="none", **(STROKE | attributes))


def polygon(points: Iterable[tuple[float, float]], /, **attributes: str | float) -> str:
    """A closed outline through the points, white inside unless said otherwise."""
    path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polygon", points=path, **(OUTLINE | attributes))


def arrow(x: float, y: float, half: float = 4.2) -> str:
    """A head that points right, its tip at the place given, ``half`` as high on either side."""
    return polygon([(x, y), (x - 9, y - half), (x - 9, y + half)], fill=INK, stroke="none")


def notice_lines(subject: Subject) -> list[str]:
    """What stands across the foot of every drawing."""
    return [f"TRAINING. {full_notice(subject)} {PRINTED}"]


def document(
    width: float, height: float, title: str, about: str, subject: Subject, parts: Iterable[str]
) -> str:
    """A whole drawing: title above, the notice across the foot, both inside the given size."""
    foot = wrap(notice_lines(subject)[0], width - 40, most=6)
    total = height + LEADING * len(foot) + 22
    body = "\n".join(
        (
            element("title", escape(one_line(title))),
            element("desc", escape(one_line(f"{about} {notice_lines(subject)[0]}", 1000))),
            element("style", _PRINT),
            element("rect", x=0.0, y=0.0, width=width, height=total, fill="#ffffff"),
            label([title], 20, 30, font_size=18.0, font_weight="bold"),
            *(part for part in parts if part),
            line([(12, height + 4), (width - 12, height + 4)], stroke_width=1.0),
            label(foot, 20, height + 22, font_weight="bold"),
        )
    )
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(width)} {number(total)}" '
        f'width="{number(width)}" height="{number(total)}" role="img" '
        f'font-family="{FONT}" font-size="{number(SIZE)}" fill="{INK}">'
    )
    return f"{head}\n{body}\n</svg>\n"
