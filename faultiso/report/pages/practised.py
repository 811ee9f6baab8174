"""What was practised and how it went, and the cases there are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from faultiso.casebook.case import Case
from faultiso.practice.history import Done
from faultiso.report.page import Block, Column, Heading, Page, Table, Text

MOST_DONE = 6


def choice_page(
    proposed: Sequence[Case], count: int, done: Sequence[Done], mastery: Mapping[str, float]
) -> Page:
    """To choose from: the last ones worked, the aims that are weak, the cases that come next, numbered."""
    blocks: list[Block] = []
    if done:
        rows = tuple((d.session, d.case, _went(d), f"{d.minutes:.0f}") for d in done[-MOST_DONE:])
        columns = (Column("session"), Column("case"), Column("how it went"), Column("min", "minutes"))
        blocks += [Heading("Worked last"), Table(columns, rows, "worked last")]
    weak = [aim.replace("_", " ") for aim, share in mastery.items() if share < 1.0]
    if weak:
        blocks.append(Text(f"Still weak: {', '.join(weak)}."))
    rows = tuple((str(n), c.name, c.title, c.stage) for n, c in enumerate(proposed, 1))
    columns = (Column("", "number"), Column("case"), Column("title"), Column("stage"))
    more = f"{count} cases in all: letters of a name or a title find one; faultiso case list shows them."
    return Page("Practice", blocks=(*blocks, Table(columns, rows, "cases that come next"), Text(more)))


def _went(done: Done) -> str:
    return "well" if done.well else "right end" if done.right else "not right"
