"""Foreign text made safe to show, and text laid out in lines.

``clean`` is the one door: whatever comes from a file, a person or another program passes it before it is
printed or written. It knows nothing of HTML, CSV or JSON; those escape once more where they write.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

#: Cursor moves, colours, titles, links: whole sequences, so that no "[31m" stays behind. Each run inside
#: stops at the next introducer, which keeps the search linear in the length of the text.
_SEQUENCE = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]"
    r"|(?:\x1b[\]PX^_]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x80-\x9f\n]*(?:\x07|\x1b\\|\x9c)"
    r"|\x1b[ -/]*[0-~]"
)
_NEW_LINE = re.compile("\r\n|[\r\x0b\x0c\x85\u2028\u2029]")
_CUT = "..."


def clean(text: str, limit: int = 2000) -> str:
    """``text`` without anything that could steer a terminal or hide what is written.

    Every kind of line end becomes a newline and a tab a space; control characters, ESC sequences, bidi
    controls and all other format characters vanish; a lone surrogate becomes "?". What is longer than
    ``limit`` characters is cut and ends in "...". Cleaning twice changes nothing.
    """
    most = 8 * limit + 8  # what a file may hold and nobody will see is not worth the time to clean it
    cleaned = _NEW_LINE.sub("\n", _SEQUENCE.sub("", text[:most])).replace("\t", " ")
    cleaned = "".join(_kept(character) for character in cleaned)
    if len(cleaned) <= limit and len(text) <= most:
        return cleaned
    return cleaned[: max(0, limit - len(_CUT))] + _CUT[:limit]


def _kept(character: str) -> str:
    category = unicodedata.category(character)
    if category == "Cs":
        return "?"
    return "" if category in ("Cc", "Cf") and character != "\n" else character


def one_line(text: str, limit: int = 200) -> str:
    """``clean`` text with every run of white space made one space."""
    return clean(" ".join(clean(text, 4 * limit).split()), limit)


def width(text: str) -> int:
    """How many columns of a terminal the text takes: wide characters two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(_columns_of(character) for character in text)


def _columns_of(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def pad(text: str, columns: int, right: bool = False) -> str:
    """The text filled up with spaces; ``right`` puts it at the right end."""
    space = " " * max(0, columns - width(text))
    return space + text if right else text + space


def cut(text: str, columns: int) -> str:
    """The text in at most ``columns`` columns; what does not fit is replaced by "..."."""
    if width(text) <= columns:
        return text
    while text and width(text) > columns - len(_CUT):
        text = text[:-1]
    return text.rstrip() + _CUT[: max(0, columns)]


def wrap(text: str, columns: int, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of at most ``columns``, the first begun with ``first`` and the others with ``rest``.

    A word is never broken: a path that is longer than a line stays one piece that can be copied.
    ``rest`` is by default as many spaces as ``first`` takes.
    """
    rest = " " * width(first) if rest is None else rest
    lines: list[str] = []
    for paragraph in text.split("\n"):
        for line in _filled(paragraph.split(), columns - width(first), columns - width(rest)):
            lines.append(((rest if lines else first) + line).rstrip())
    return lines


def _filled(words: list[str], first_room: int, room: int) -> Iterator[str]:
    line, space = "", first_room
    for word in words:
        if line and width(line) + 1 + width(word) > space:
            yield line
            line, space = word, room
        else:
            line = f"{line} {word}" if line else word
    yield line


def columns(rows: list[list[str]], right: frozenset[int] = frozenset(), gap: int = 2) -> list[str]:
    """Rows as aligned lines, columns in ``right`` set to the right; every row has the same length."""
    widths = [max(width(cell) for cell in column) for column in zip(*rows, strict=True)]
    return [
        (" " * gap).join(pad(cell, widths[i], i in right) for i, cell in enumerate(row)).rstrip()
        for row in rows
    ]
