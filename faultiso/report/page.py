"""The one thing that can be printed or written: a page of blocks, which says by itself what it is.

A page is built from what was computed and is turned into lines, JSON, HTML or CSV by renderers that decide
nothing. The notice and the cautions are part of it, so that no renderer can leave them out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from faultiso.base.notice import Subject, full_notice, short_notice


@dataclass(frozen=True, slots=True)
class Heading:
    """A line that names what follows; ``level`` 1 is the largest below the title."""

    text: str
    level: Literal[1, 2] = 1


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph, its further lines set in by ``hang``.

    ``quiet`` marks what a reader may skip, ``apart`` what does not belong to the paragraph before it.
    """

    text: str
    indent: int = 0
    hang: int = 0
    quiet: bool = False
    apart: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines that keep their spaces and are never wrapped."""

    lines: tuple[str, ...]
    indent: int = 4


@dataclass(frozen=True, slots=True)
class Snippet:
    """A line of a file with ``length`` characters marked from ``column`` on; both numbers count from 1."""

    number: int
    line: str
    column: int
    length: int = 1


@dataclass(frozen=True, slots=True)
class Items:
    """A list; ``numbered`` gives each item the number that picks it."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Outline:
    """Lines set in by their depth, each (depth, mark, text); the mark, a number, may be empty.

    ``nested``: the depth says what belongs below what, so that it is read out where nobody sees it.
    """

    rows: tuple[tuple[int, str, str], ...]
    nested: bool = False


@dataclass(frozen=True, slots=True)
class KeyValues:
    """Names with what belongs to them, in the order given."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table. Numbers and minutes stand at the right; minutes come last on narrow screens."""

    title: str
    kind: Literal["text", "number", "minutes"] = "text"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells, ready to read, one for each column. ``about`` names the table for those who hear it."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    about: str = ""

    def __post_init__(self) -> None:
        if any(len(row) != len(self.columns) for row in self.rows):
            raise ValueError("every row of a table has one cell for each column")


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt someone, and what prevents it. ``again`` is the short form for the second time."""

    text: str
    again: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing as SVG, with ``words`` that say the same where it can not be shown."""

    title: str
    svg: str
    words: str


@dataclass(frozen=True, slots=True)
class Details:
    """What only some want to read: folded away on a page, below its ``summary``."""

    summary: str
    blocks: tuple[Block, ...]


Block = Details | Heading | Text | Lines | Snippet | Items | Outline | KeyValues | Table | Caution | Picture


@dataclass(frozen=True, slots=True)
class Page:
    """A title, what it is about, cautions that come before everything else, and blocks in reading order.

    ``last`` marks the end of a session: there the notice is given in full on the screen too.
    """

    title: str
    subject: Subject = ""
    blocks: tuple[Block, ...] = ()
    cautions: tuple[Caution, ...] = ()
    last: bool = False

    @property
    def short_notice(self) -> str:
        """One line, for the top of a screen."""
        return short_notice(self.subject)

    @property
    def notice(self) -> str:
        """In full, for a file and for the end of a session."""
        return full_notice(self.subject)
