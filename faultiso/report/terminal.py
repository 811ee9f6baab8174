"""A page as lines of plain text: made for 80 columns, right at 40, calm at 120.

No boxes, no signs beyond ASCII of our own, and nothing is said by colour alone: the same words appear with
and without it. With ``plain`` every table is read out as "name: value" lines.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never

from faultiso.base.notice import IN_TITLE
from faultiso.base.text import clean, columns, cut, one_line, pad, width, wrap
from faultiso.report.page import (
    Block,
    Caution,
    Column,
    Details,
    Heading,
    Items,
    KeyValues,
    Lines,
    Outline,
    Page,
    Picture,
    Snippet,
    Table,
    Text,
)

#: A line of prose is not longer than this however wide the screen: longer ones are hard to read.
_PROSE = 80
_INDENT = "  "
_NARROWEST_COLUMN = 16
_NARROW_SCREEN = 60  # columns, below which no two columns of a table are wrapped
_CODES = {"bold": "1", "dim": "2", "accent": "36"}


@dataclass(frozen=True, slots=True)
class Look:
    """How a page is laid out: columns of the screen, styles or none, tables or "name: value" lines."""

    width: int = 80
    colour: bool = False
    plain: bool = False

    @property
    def prose(self) -> int:
        return min(self.width, _PROSE)

    def styled(self, text: str, style: str) -> str:
        return f"\x1b[{_CODES[style]}m{text}\x1b[0m" if self.colour and text else text


def render(page: Page, look: Look = Look()) -> str:
    """The page as text that ends in a newline."""
    body = render_blocks((*page.cautions, *page.blocks), look)
    end = wrap(page.notice, look.prose) if page.last else []
    return "\n\n".join(part for part in ("\n".join(_top(page, look)), body, "\n".join(end)) if part) + "\n"


def render_blocks(blocks: Sequence[Block], look: Look = Look()) -> str:
    """Blocks said in the course of a session, whose first page carried the notice and whose last one will.

    One empty line stands between blocks, except between those that belong together. No newline at the
    end; nothing at all gives "".
    """
    lines: list[str] = []
    for number, block in enumerate(blocks):
        if lines and not _close(blocks[number - 1], block):
            lines.append("")
        lines += _block(block, look)
    return "\n".join(lines)


def _close(before: Block, this: Block) -> bool:
    """Whether two blocks belong together so closely that no empty line parts them."""
    if isinstance(this, Text) and this.apart:
        return False
    if isinstance(before, Heading):
        return not isinstance(this, Heading)
    if isinstance(before, Text):
        return isinstance(this, Text | Lines | Snippet)
    return isinstance(before, Lines | Snippet | Caution) and isinstance(this, Text | Caution)


def _top(page: Page, look: Look) -> list[str]:
    kind = IN_TITLE[page.subject]
    title = one_line(page.title) + (f" ({kind})" if kind else "")
    if width(title) + 4 + width(page.short_notice) <= look.width:
        return [f"{look.styled(title, 'bold')}    {page.short_notice}"]
    lines = [look.styled(line, "bold") for line in wrap(title, look.prose)]
    return lines + wrap(page.short_notice, look.prose)


def _block(block: Block, look: Look) -> list[str]:
    match block:
        case Heading():
            return [look.styled(line, "bold") for line in wrap(one_line(block.text), look.prose)]
        case Text():
            indent = " " * block.indent
            lines = wrap(clean(block.text), look.prose, indent, indent + " " * block.hang)
            return [look.styled(line, "dim") for line in lines] if block.quiet else lines
        case Lines():
            room = look.width - block.indent
            return [(" " * block.indent + cut(clean(line), room)).rstrip() for line in block.lines]
        case Snippet():
            return _snippet(block, look)
        case Items():
            return _items(block, look)
        case Outline():
            return _outline(block, look)
        case KeyValues():
            return _pairs([(one_line(name), clean(value)) for name, value in block.pairs], look)
        case Table():
            return _table(block, look)
        case Caution():
            return _caution(block, look)
        case Picture():
            return wrap(one_line(block.title), look.prose) + wrap(clean(block.words), look.prose, _INDENT)
        case Details():
            return []  # a screen has the short form; a page can be opened
        case _:
            assert_never(block)


def _caution(caution: Caution, look: Look) -> list[str]:
    word = "Caution as before: " if caution.again else "CAUTION  "
    lines = wrap(clean(caution.text), look.prose, _INDENT + word, _INDENT * 2 if caution.again else None)
    styled = lines[0].replace(word.rstrip(), look.styled(word.rstrip(), "accent"), 1)
    return [styled, *lines[1:]]


def _snippet(snippet: Snippet, look: Look) -> list[str]:
    """The line and a row of carets below it; of a long line the part around the mark."""
    margin = f"    {snippet.number:>2} | "
    room = max(_NARROWEST_COLUMN, look.width - len(margin))
    before, marked = snippet.line[: snippet.column - 1], snippet.line[snippet.column - 1 :][: snippet.length]
    lead = clean(before[-4 * room :]).replace("\n", " ")
    if width(lead) > room * 2 // 3:
        lead = "..." + lead[-(room // 2) :]
    carets = "^" * max(1, min(width(clean(marked)), room - width(lead)))
    shown = cut(lead + clean(snippet.line[snippet.column - 1 :], 4 * room).replace("\n", " "), room)
    below = f"{' ' * (len(margin) - 2)}| {' ' * width(lead)}{carets}"
    return [(margin + shown).rstrip(), below]


def _items(block: Items, look: Look) -> list[str]:
    size = len(str(len(block.items)))
    lines = []
    for number, item in enumerate(block.items, 1):
        sign = f"{number:>{size}}" if block.numbered else "-"
        lines += wrap(clean(item), look.prose, f"{_INDENT}{sign}{_INDENT if block.numbered else ' '}")
    return lines


def _outline(block: Outline, look: Look) -> list[str]:
    """Each line below its depth; without a mark it stands below the text of a marked one."""
    marks = max((width(one_line(mark)) for _, mark, _ in block.rows), default=0)
    lines: list[str] = []
    for depth, mark, text in block.rows:
        lead = pad(one_line(mark), marks, right=True) + _INDENT if marks else ""
        spoken = block.nested and look.plain
        first = f"{_INDENT}level {depth + 1}: " if spoken else _INDENT * (depth + 1) + lead
        lines += wrap(clean(text), look.prose, first, _INDENT * (depth + 2) + " " * len(lead))
    return lines


def _pairs(pairs: list[tuple[str, str]], look: Look) -> list[str]:
    """Names and values side by side; where names are long each value stands below its name."""
    names = max((width(name) for name, _ in pairs), default=0)
    lines: list[str] = []
    for name, value in pairs:
        if look.plain:
            lines += wrap(f"{name}: {value}", look.prose, _INDENT, _INDENT * 2)
        elif names > look.width - 24:
            lines += wrap(name, look.width, _INDENT, _INDENT * 2) + wrap(value, look.width, _INDENT * 2)
        else:
            lines += wrap(value, look.width, f"{_INDENT}{pad(name, names)}{_INDENT}")
    return lines


def _table(table: Table, look: Look) -> list[str]:
    heads = [one_line(column.title) for column in table.columns]
    rows = [[one_line(cell, 1000) for cell in row] for row in table.rows]
    widths = [max(map(width, cells)) for cells in zip(heads, *rows, strict=True)]
    if look.plain or not rows:
        return _as_lines(table.columns, rows, look)
    least = [max((_longest_word(row[place]) for row in rows), default=0) for place in range(len(widths))]
    rooms = _rooms(table.columns, widths, least, look.width - len(_INDENT) * len(widths))
    if rooms is None or (len(rooms) > 1 and look.width < _NARROW_SCREEN):
        return _as_lines(table.columns, rows, look)
    return _as_columns(table.columns, heads, rows, look, rooms)


def _longest_word(cell: str) -> int:
    return max(map(width, cell.split()), default=0)


def _rooms(
    kinds: tuple[Column, ...], widths: list[int], least: list[int], room: int
) -> dict[int, int] | None:
    """The width to which text columns are wrapped so that all fit into ``room``: the longest alone where that
    will do, else the widest narrowed first; None if some column would be too narrow to read, or for its
    longest word (``least``)."""
    texts = [place for place, column in enumerate(kinds) if column.kind == "text"]
    longest = max(texts, key=lambda place: widths[place], default=None)
    least = [max(_NARROWEST_COLUMN, word) for word in least]
    if longest is not None and least[longest] <= room - sum(widths) + widths[longest] < widths[longest]:
        return {longest: room - sum(widths) + widths[longest]}
    found: dict[int, int] = {}
    for _ in range(sum(widths) - room):
        wide = [place for place in texts if found.get(place, widths[place]) > least[place]]
        widest = max(wide, key=lambda place: found.get(place, widths[place]), default=None)
        if widest is None:
            return None
        found[widest] = found.get(widest, widths[widest]) - 1
    return found


def _as_columns(
    kinds: tuple[Column, ...], heads: list[str], rows: list[list[str]], look: Look, rooms: Mapping[int, int]
) -> list[str]:
    """Aligned rows below their heads; ``rooms``: the width to which the cells of a column are wrapped."""
    right = frozenset(i for i, column in enumerate(kinds) if column.kind != "text")
    laid = []
    for row in rows:
        cells = [wrap(cell, rooms[i]) if i in rooms else [cell] for i, cell in enumerate(row)]
        height = max(map(len, cells))
        laid += [[cell[line] if line < len(cell) else "" for cell in cells] for line in range(height)]
    first_pad = [_INDENT + laid_row[0] for laid_row in laid]
    grid = [heads, *([first, *laid_row[1:]] for first, laid_row in zip(first_pad, laid, strict=True))]
    lines = columns(grid, right)
    return [look.styled(lines[0], "dim"), *lines[1:]] if any(heads) else lines[1:]


def _as_lines(kinds: tuple[Column, ...], rows: list[list[str]], look: Look) -> list[str]:
    """Each row as "name: value" lines, minutes last, empty cells left out, an empty line between rows.

    A first column without a title is the number that picks the row; it stands before the row's first line.
    """
    order = sorted(range(len(kinds)), key=lambda i: kinds[i].kind == "minutes")
    lines: list[str] = []
    for row in rows:
        if lines and len(kinds) > 2:
            lines.append("")
        picks = f"{row[0]}  " if not kinds[0].title and len(kinds) > 1 else ""
        said = [_said(one_line(kinds[i].title), row[i]) for i in order if row[i] and not (picks and i == 0)]
        for number, text in enumerate(said):
            indent = _INDENT if number == 0 or look.plain else _INDENT * 2
            lines += wrap(text, look.prose, indent + ("" if number else picks), indent + _INDENT)
    return lines


def _said(name: str, value: str) -> str:
    return f"{name}: {value}" if name else value
