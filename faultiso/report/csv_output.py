"""Rows for a spreadsheet: nothing in a cell is ever a formula, and the notice stands in the last line."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from faultiso.base.notice import Subject, full_notice
from faultiso.base.text import one_line

#: a text that begins so, after blanks too, may be worked out by a spreadsheet
_FORMULA = ("=", "+", "-", "@", "|", "%", "'")


def csv_text(head: Sequence[str], rows: Iterable[Sequence[str | float | None]], subject: Subject = "") -> str:
    """The rows with commas and the notice below them; numbers stay numbers, None is an empty cell.

    It begins with the mark of UTF-8, by which spreadsheets read letters with accents rightly.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([_safe(cell) for cell in row] for row in rows)
    writer.writerow([full_notice(subject)])
    return "\ufeff" + stream.getvalue()


def _safe(cell: str | float | None) -> str | float:
    """A text that a spreadsheet would take for a formula is written behind an apostrophe."""
    if not isinstance(cell, str):
        return "" if cell is None else cell
    text = one_line(cell, 1000)
    return f"'{text}" if text.startswith(_FORMULA) else text
