"""The debrief as a page: on the screen in short, on paper with a picture, reasons and figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from faultiso.assessment.debrief import Debrief, Step
from faultiso.assessment.verdict import ended_otherwise
from faultiso.base.figures import capital, in_hundred, minutes_words
from faultiso.report.drawing.course import course_svg
from faultiso.report.page import Block, Column, Details, Heading, Items, KeyValues, Page, Picture, Table, Text

Files = Sequence[tuple[str, str]]


def debrief_page(found: Debrief, files: Files = (), receipt: str = "") -> Page:
    """The end of a session on the screen."""
    blocks: list[Block] = [Text(sentence) for sentence in verdict_sentences(found)]
    if found.steps:
        blocks += [Heading("What you did"), _short_steps(found)]
    blocks += list(_missed(found))
    blocks.append(Text(f"One thing for next time: {found.lesson}", apart=True))
    ends = (*files, *((("Receipt", f"{receipt}   (hand it in with the log)"),) if receipt else ()))
    if ends:
        blocks.append(KeyValues(tuple(ends)))
    return Page(_title(found), found.model.subject, tuple(blocks), last=True)


def debrief_paper(found: Debrief, receipt: str = "") -> Page:
    """The whole of it, for a page that is kept or printed."""
    blocks: list[Block] = [Text(sentence) for sentence in verdict_sentences(found)]
    blocks += [KeyValues(tuple(_facts(found, receipt)))]
    blocks += [Text(f"One thing for next time: {found.lesson}")]
    if found.steps:
        blocks += [Heading("Step by step"), _long_steps(found)]
        blocks += [Heading("What the readings said, over time"), *_course(found)]
    blocks += list(_missed(found))
    if found.shown:
        blocks += [Heading("Why the readings were what they were"), _shown(found)]
    blocks += list(_silent(found))
    if found.stated:
        blocks += [Heading("What you said you believed"), _stated(found)]
    if found.case.good_solution:
        blocks += [Heading("A good way through"), Text(found.case.good_solution)]
    if found.case.aims:
        blocks += [Heading("What it was about"), Items(tuple(aim.text for aim in found.case.aims))]
    if found.steps:
        blocks.append(Details("Figures for instructors", (_figures(found),)))
    return Page(_title(found), found.model.subject, tuple(blocks))


def _title(found: Debrief) -> str:
    return f'Debrief: {found.case.name}, "{found.case.title}"'


def verdict_sentences(found: Debrief) -> Iterator[str]:
    """How it ended, whether that was right, the truth, what came off for nothing, what stands open."""
    outcome = found.verdict
    what = f": {found.found}" if found.found else ""
    yield f"{capital(outcome.how)}{what}."
    yield f"{_judged(found)} {_truth(found)}"
    if outcome.left_behind:
        yield f"The work left something behind: {', '.join(_fault(found, n) for n in outcome.left_behind)}."
    good = ", ".join(found.model.repairs[unit.repair].title for unit in outcome.good_units)
    yield f"Serviceable units removed: {good or 'none'}. Open: {'; '.join(found.open) or 'nothing'}."


def _judged(found: Debrief) -> str:
    if ended_otherwise(found.verdict.how):
        return "The work is not at an end."
    return "That is right." if found.verdict.right else "That is not right."


def _truth(found: Debrief) -> str:
    if found.case.beyond_model:
        return "What was wrong is not on the data sheet: the right end was to stop and refer."
    if not found.truth:
        return "Nothing was wrong: it was normal behaviour."
    was = "It was" if len(found.truth) == 1 else "They were"
    end = (
        ""
        if found.verdict.right or found.case.right_end == "rectified"
        else f" Right: {found.case.right_end}."
    )
    return f"{was} {' and '.join(found.truth)}.{end}"


def _fault(found: Debrief, name: str) -> str:
    component, _, _ = name.partition(".")
    return f"{found.model.components[component].title}: {found.model.faults[name].title}"


def _short_steps(found: Debrief) -> Table:
    rows = tuple((s.title, f"{s.minutes:.0f}", s.told, s.better or _as_good(s)) for s in found.steps)
    columns = (Column("step"), Column("min", "minutes"), Column("it told"), Column("best from there"))
    return Table(columns, rows, "what was done")


def _as_good(step: Step) -> str:
    return "equally good" if step.worth.expected is not None else "-"


def _long_steps(found: Debrief) -> Table:
    rows = tuple(
        (
            str(s.number), f"{s.clock:.0f}", s.title, s.showed or "-", f"{s.minutes:.0f}", s.told,
            str(s.candidates), s.better or _as_good(s),
        )
        for s in found.steps
    )  # fmt: skip
    columns = (
        Column("step", "number"), Column("at min", "number"), Column("what"), Column("it showed"),
        Column("min", "number"), Column("it told"), Column("likely causes left", "number"),
        Column("best from there"),
    )  # fmt: skip
    return Table(columns, rows, "Every step, what it told, and what would have been best from there")


def _course(found: Debrief) -> Iterator[Block]:
    course = found.course
    steps = ["start", *(str(step.number) for step in found.steps)]
    names, rows = [*course.titles, "nothing wrong"], [*course.chances, course.nothing]
    svg = course_svg("Chances over the steps", names, rows, steps, found.model.subject)
    yield Picture("Chances over the steps", svg, "The same figures stand in the table below.")
    table = tuple(
        (name, *(in_hundred(chance) for chance in row)) for name, row in zip(names, rows, strict=True)
    )
    columns = (Column("in 100, after step"), *(Column(step, "number") for step in steps))
    yield Table(columns, table, "How likely each unit was, given what had been read by then")


def _missed(found: Debrief) -> Iterator[Block]:
    if not found.missed:
        return
    yield Heading("Hazards")
    rows = []
    for item in found.missed:
        left_out = ", ".join(f"{t} (critical)" if t in item.critical else t for t in item.left_out)
        rows.append((f"{item.step} {item.title}", left_out or "-", ", ".join(item.wrong) or "-"))
    columns = (Column("before step"), Column("not named"), Column("named, and not there"))
    yield Table(columns, tuple(rows), "hazards")


def _shown(found: Debrief) -> Table:
    return Table(
        (Column("reading"), Column("why")),
        tuple((s.reading, s.why) for s in found.shown),
        "Readings and reasons",
    )


def _silent(found: Debrief) -> Iterator[Block]:
    silent = [(f"{s.number} {s.title}", s.silent) for s in found.steps if s.silent]
    if silent:
        yield Heading("What could tell nothing, and why")
        yield KeyValues(tuple(silent))


def _stated(found: Debrief) -> Table:
    rows = []
    for after, pairs in found.stated:
        said = ", ".join(f"{name} {percent:g} %" for name, percent in pairs)
        rows.append((str(after), said, _computed(found, after)))
    columns = (Column("after step", "number"), Column("you said"), Column("the readings said"))
    return Table(columns, tuple(rows), "Beliefs, yours and what the readings support")


def _computed(found: Debrief, after: int) -> str:
    at = [
        (row[min(after, len(row) - 1)], title)
        for title, row in zip(found.course.titles, found.course.chances, strict=True)
    ]
    return ", ".join(f"{title} {in_hundred(chance)} %" for chance, title in sorted(at, reverse=True)[:3])


def _figures(found: Debrief) -> Table:
    rows = []
    for s in found.steps:
        w = s.worth
        best = w.best
        rows.append(
            (
                str(s.number),
                "-" if w.expected is None else f"{w.expected:.0f}",
                "-" if best is None else f"{best.expected_minutes:.0f}",
                f"{w.loss:.0f}",
                "-" if w.chance is None else in_hundred(w.chance),
                str(s.line),
            )
        )
    heads = (
        "step",
        "minutes to the end by it",
        "by the best",
        "more",
        "chance of the unit, in 100",
        "log line",
    )
    columns = tuple(Column(head, "number") for head in heads)
    return Table(columns, tuple(rows), "On average, if the figures of the model are right")


def _facts(found: Debrief, receipt: str) -> Iterator[tuple[str, str]]:
    yield "Case", f"{found.case.name} ({found.case.stage}), {found.model.title}"
    if found.candidate:
        yield "Candidate", found.candidate
    yield "Worked", found.mode
    yield "Job time", f"{minutes_words(found.minutes)}, {found.man_minutes:.0f} man-minutes"
    yield "Approved data named", "; ".join(found.references) or "none"
    if found.case.approved_data:
        yield "Expected chapter", found.case.approved_data
    yield "Hints taken", str(found.hints)
    if found.disputes:
        yield "Disputed", "; ".join(found.disputes)
    if receipt:
        yield "Receipt", receipt
