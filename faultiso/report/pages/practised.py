"""What was practised and how it went, and the cases there are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from faultiso.casebook.case import STAGES, Case
from faultiso.practice.history import Done
from faultiso.report.page import Block, Column, Heading, Page, Table, Text

MOST_DONE = 6


def choice_page(cases: Sequence[Case], done: Sequence[Done], mastery: Mapping[str, float]) -> Page:
    """To choose from: the last ones worked, the aims by how they went, the cases by stage."""
    blocks: list[Block] = []
    if done:
        rows = tuple((d.session, d.case, _went(d), f"{d.minutes:.0f}") for d in done[-MOST_DONE:])
        columns = (Column("session"), Column("case"), Column("how it went"), Column("min", "minutes"))
        blocks += [Heading("Worked last"), Table(columns, rows, "worked last")]
    weak = [aim.replace("_", " ") for aim, share in mastery.items() if share < 1.0]
    if weak:
        blocks.append(Text(f"Still weak: {', '.join(weak)}."))
    worked = {each.case: each for each in done}
    ordered = sorted(cases, key=lambda case: (STAGES.index(case.stage), case.name))
    rows = tuple(
        (c.name, c.title, c.stage, _went(worked[c.name]) if c.name in worked else "") for c in ordered
    )
    columns = (Column("case"), Column("title"), Column("stage"), Column("went"))
    return Page("Practice", blocks=(*blocks, Heading("Cases"), Table(columns, rows, "cases")))


def _went(done: Done) -> str:
    return "well" if done.well else "right end" if done.right else "not right"
