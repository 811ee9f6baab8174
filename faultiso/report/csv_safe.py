"""Rows as CSV that a spreadsheet opens without harm: no cell is a formula, none breaks out of its row.

The layout is that of RFC 4180 (Y. Shafranovich, 2005), every text in quotes. A spreadsheet takes what begins
with certain signs for a formula, wherever it stands in quotes (OWASP, "CSV Injection"); an apostrophe before
it makes it a text.
"""

from __future__ import annotations

import csv
import io
import math
import unicodedata
from collections.abc import Iterable, Sequence

from faultiso.base.notice import Subject, full_notice
from faultiso.base.text import one_line

Value = str | int | float | bool | None
_LONGEST = 2_000
#: what begins a formula, or a command of the file itself; wide forms are brought to these before
_BEGINS = ("=", "+", "-", "@", "|", "%", "#")


def csv_text(
    head: Sequence[str], rows: Iterable[Sequence[Value]], subject: Subject = "", separator: str = ","
) -> str:
    """The table as CSV, the notice as a remark in its first line. ``separator``: "," or ";".

    It begins with a byte order mark: by it spreadsheets know that letters with accents are UTF-8.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=separator, lineterminator="\r\n", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([f"# {full_notice(subject)}"])
    writer.writerow([csv_cell(title) for title in head])
    for row in rows:
        if len(row) != len(head):
            raise ValueError("every row has one cell for each column")
        writer.writerow([csv_cell(value) for value in row])
    return "\ufeff" + stream.getvalue()


def csv_cell(value: Value) -> str | int | float:
    """What is written for a value: numbers as they are, texts cleaned, in one line, and never a formula."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return value if math.isfinite(value) else ""
    text = one_line(value, _LONGEST)
    return f"'{text}" if _may_run(text) else text


def _may_run(text: str) -> bool:
    """Whether some spreadsheet might take it for more than a text; a leading apostrophe would vanish."""
    begins = unicodedata.normalize("NFKC", text[:4]).lstrip(" '\"`")
    return begins.startswith(_BEGINS) or text.startswith("'")
