"""The work summary as a page: the end of a session, and what a shift hands to the next."""

from __future__ import annotations

from collections.abc import Sequence

from faultiso.base.figures import capital, in_hundred
from faultiso.report.page import Block, Column, Heading, Items, KeyValues, Page, Table, Text
from faultiso.session.summary import Summary

_BLANK = "______________________________"


def summary_page(summary: Summary, files: Sequence[tuple[str, str]] = (), receipt: str = "") -> Page:
    """The end of a session: found, done, open, one thing to know, files, receipt; the notice in full."""
    blocks: list[Block] = [Text(_found(summary))]
    if summary.complaint:
        where = f", {summary.seen_in}" if summary.seen_in else ""
        blocks.append(Text(f"Complaint{where}: {'; '.join(summary.complaint)}.", hang=2))
    if summary.deeds:
        blocks += [Heading("What was done"), _deeds(summary)]
    if summary.how != "rectified and verified" and summary.leading:
        rows = tuple((title, in_hundred(chance)) for title, chance in summary.leading)
        blocks.append(Table((Column("Still likely"), Column("in 100", "number")), rows))
    if summary.open:
        blocks += [Heading("Open"), Items(tuple(summary.open))]
    blocks.append(KeyValues(_facts(summary)))
    if summary.notes:
        blocks += [Heading("Notes"), Items(tuple(summary.notes))]
    blocks.append(Text(f"For the next shift: {summary.next_shift}", apart=True))
    ends = (*files, *((("Receipt", f"{receipt}   (hand it in with the log)"),) if receipt else ()))
    if ends:
        blocks.append(KeyValues(tuple(ends)))
    return Page("Work summary: " + summary.title, summary.subject, tuple(blocks), last=True)  # type: ignore[arg-type]


def _found(summary: Summary) -> str:
    what = f": {summary.found}" if summary.found else ""
    return f"{capital(summary.how)}{what}."


def _deeds(summary: Summary) -> Table:
    rows = tuple((d.title, d.showed or "-", d.told, f"{d.minutes:.0f}") for d in summary.deeds)
    columns = (Column("what"), Column("showed"), Column("it told"), Column("min", "minutes"))
    return Table(columns, rows, "what was done")


def _facts(summary: Summary) -> tuple[tuple[str, str], ...]:
    return (
        ("Time", f"{summary.minutes:.0f} min, {summary.man_minutes:.0f} man-minutes"),
        ("Restored", summary.restored),
        ("Approved data", "; ".join(summary.references) or _BLANK),
    )
