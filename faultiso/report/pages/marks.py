"""Marks as they stand: of one session to confirm, of all, and what grading again moved."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from faultiso.assessment.regrading import Regraded
from faultiso.assessment.standing import Change, Points, Standing, figure
from faultiso.base.text import one_line
from faultiso.report.counts import counted
from faultiso.report.page import Block, Column, Heading, Items, Page, Table, Text

Shown = Callable[[str], str]
_LONGEST_REASON = 300


def session_page(standing: Standing, shown: Shown = str) -> Page:
    """One session: what to look at first, then each criterion with its reasons."""
    blocks: list[Block] = []
    look = [*(f"failed by a gate: {each}" for each in standing.gates), *standing.attention]
    if look:
        blocks += [Heading("Look at first"), Items(tuple(one_line(each, _LONGEST_REASON) for each in look))]
    rows = tuple((_title(each.criterion), _points(each), _why(each)) for each in standing.points)
    columns = (Column("criterion"), Column("points"), Column("why"))
    blocks.append(Table(columns, rows, "criteria"))
    state = "withdrawn" if standing.withdrawn else _verdict(standing)
    who = shown(standing.candidate) or "(no number)"
    return Page(f"{who}, {standing.case}, {standing.receipt}: {state}", blocks=tuple(blocks))


def _verdict(standing: Standing) -> str:
    passed = "passed" if standing.passed else "not passed"
    return f"{standing.state} {figure(standing.mark)}, {passed}"


def _title(criterion: str) -> str:
    return criterion.replace("_", " ")


def _points(points: Points) -> str:
    if points.points is None:
        return f"yours to mark, of {figure(points.out_of)}" if points.by_hand else "not judged"
    return f"{figure(points.points)} of {figure(points.out_of)}"


def _why(points: Points) -> str:
    """A change says what was proposed before it; else the reasons of the proposal."""
    if points.change is not None:
        return f"set by {points.change.by}, proposed {figure(points.proposed)}: {points.change.because}"
    return one_line("; ".join(points.reasons), _LONGEST_REASON)


def marks_page(standings: Sequence[Standing], shown: Shown = str) -> Page:
    """All sessions, with what is still to confirm."""
    rows = tuple(
        _row(each, shown) for each in sorted(standings, key=lambda each: (each.candidate, each.case))
    )
    columns = (
        Column("candidate"),
        Column("case"),
        Column("mark", "number"),
        Column("passed"),
        Column("state"),
    )
    return Page("Marks", blocks=(Text(_counts(standings)), Table(columns, rows, "marks")))


def _row(each: Standing, shown: Shown) -> tuple[str, ...]:
    who = shown(each.candidate) or "(no number)"
    if each.withdrawn:
        return (who, each.case, "", "", "withdrawn")
    passed = "yes" if each.passed else "no: a gate" if each.gates else "no"
    return (who, each.case, figure(each.mark), passed, each.state)


def _counts(standings: Iterable[Standing]) -> str:
    states = [each.state for each in standings]
    parts = [f"{states.count(state)} {state}" for state in ("confirmed", "proposed", "withdrawn")]
    return f"{counted(len(states), 'session')}: {', '.join(parts)}. Only confirmed marks are results."


def marks_record(standings: Iterable[Standing]) -> dict[str, Any]:
    """The same for programs: results apart from what is only proposed."""
    return {"marks": [_record(each) for each in standings]}


def _record(each: Standing) -> dict[str, Any]:
    criteria = {
        points.criterion: {"points": points.points, "of": points.out_of, "proposed": points.proposed}
        for points in each.points
    }
    return {
        "id": each.candidate, "case": each.case, "receipt": each.receipt, "state": each.state,
        "result": each.is_result, "mark": each.mark, "passed": each.passed, "marks": criteria,
        "gates": list(each.gates), "attention": list(each.attention),
        "changes": [_change(change) for change in each.changes],
        "confirmed_by": each.confirmed.by if each.confirmed else "",
        "withdrawn_because": each.withdrawn.because if each.withdrawn else "",
    }  # fmt: skip


def _change(change: Change) -> dict[str, Any]:
    told = {"criterion": change.criterion, "old": change.old, "new": change.new, "line": change.line}
    return {**told, "because": change.because, "by": change.by, "at": change.at}


def again_page(found: Sequence[Regraded], shown: Shown = str) -> Page:
    """Who is affected: what moved and why; then what could not be graded; the rest is counted."""
    blocks: list[Block] = [Text(_again_counts(found))]
    for state, title in (("moved", "Moved"), ("withdrawn", "Withdrawn"), ("not graded", "Not graded")):
        chosen = [each for each in found if each.state == state]
        reasons = {each.why for each in chosen}
        shared = reasons.pop() if len(reasons) == 1 and len(chosen) > 1 else ""
        lines = tuple(_again_line(each, shown, told=bool(shared)) for each in chosen)
        if lines:
            blocks += [Heading(title), *([Text(f"All by {shared}.")] if shared else []), Items(lines)]
    return Page("Graded again", blocks=tuple(blocks))


def _again_counts(found: Sequence[Regraded]) -> str:
    moved = [each for each in found if each.state == "moved"]
    results = sum(each.was_result for each in found if each.moved)
    same = sum(each.state == "same" for each in found)
    text = f"{counted(len(found), 'session')}: {len(moved)} moved, {same} the same."
    return f"{text} {counted(results, 'result')} to be confirmed anew or gone." if results else text


def _again_line(each: Regraded, shown: Shown, told: bool) -> str:
    """``told``: the reason stands above all lines already."""
    moved = "; ".join(map(str, each.moved))
    who = f"{shown(each.candidate) or '(no number)'}, {each.case}, {each.receipt}"
    return one_line(": ".join(part for part in (who, moved, "" if told else each.why) if part), 500)


def again_record(found: Iterable[Regraded]) -> dict[str, Any]:
    """The same for programs."""
    return {
        "sessions": [
            {
                "id": each.candidate, "case": each.case, "receipt": each.receipt, "state": each.state,
                "was_result": each.was_result, "why": each.why,
                "moved": [{"what": m.what, "old": m.old, "new": m.new} for m in each.moved],
            }
            for each in found
        ]
    }  # fmt: skip
