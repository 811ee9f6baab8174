"""A class on the screen: in short, what an instructor has to know before the lesson begins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor

from faultiso.assessment.classes.attention import First
from faultiso.assessment.classes.people import sessions
from faultiso.assessment.classes.report import ClassReport
from faultiso.assessment.feedback import TITLES
from faultiso.base.nearest import listed
from faultiso.base.notice import Subject
from faultiso.report.counts import counted
from faultiso.report.page import Block, Column, Heading, KeyValues, Page, Table, Text

MOST_FIRST = 12  # things to look at on a screen
Files = Sequence[tuple[str, str]]


def class_screen(report: ClassReport, subject: Subject = "", files: Files = ()) -> Page:
    """Counts, what to look at first, the cases, what to teach next, the files that were written."""
    blocks: list[Block] = [Text(sentence) for sentence in headlines(report)]
    if report.first:
        blocks += [Heading("Look at first"), first_table(report.first[:MOST_FIRST], report.pass_mark)]
    if len(report.first) > MOST_FIRST:
        blocks.append(Text(f"{len(report.first) - MOST_FIRST} more; the page (--html) has all of them."))
    if report.cases:
        blocks += [Heading("Cases"), case_table(report)]
    blocks += [Text(sentence, apart=True) for sentence in conclusions(report)]
    if files:
        blocks.append(KeyValues(tuple(files)))
    return Page(report.title, subject, tuple(blocks), last=True)


def headlines(report: ClassReport) -> Iterator[str]:
    """How many of what, by which rubric, how many passed."""
    logs = counted(report.graded + len(report.aside), "log")
    people, cases = counted(len(report.people), "person"), counted(len(report.cases), "case")
    people = people.replace("persons", "people")
    yield f"{logs}, {people}, {cases}. Rubric {report.rubric}, pass mark {report.pass_mark:g}."
    kinds: dict[str, int] = {}
    for each in report.aside:
        kinds[each.kind] = kinds.get(each.kind, 0) + 1
    others = "".join(f", {count} {kind}" for kind, count in kinds.items())
    yield f"{report.graded} graded ({_state(report)}){others}."
    if report.mean is not None and report.spread is not None:
        s = report.spread
        yield (
            f"{report.passed} of {len(report.people)} passed; mean {report.mean:.0f} in 100, "
            f"from {s.least:.0f} to {s.largest:.0f}, half of them from {s.lower:.0f} to {s.upper:.0f}."
        )


def _state(report: ClassReport) -> str:
    """ "proposed"; "12 confirmed, 3 proposed"; "confirmed"."""
    proposed = report.graded - report.confirmed
    if not proposed and report.graded:
        return "confirmed"
    return f"{report.confirmed} confirmed, {proposed} proposed" if report.confirmed else "proposed"


def mark_words(mark: float | None, pass_mark: float) -> str:
    """ "57"; a mark that would be rounded up to the pass mark keeps a figure more: "59.6". "" for none."""
    if mark is None:
        return ""
    return f"{floor(10 * mark) / 10:.1f}" if mark < pass_mark <= round(mark) else f"{mark:.0f}"


def first_table(first: Sequence[First], pass_mark: float) -> Table:
    rows = tuple((f.who, f.case, mark_words(f.mark, pass_mark), f.why) for f in first)
    columns = (Column("who"), Column("case"), Column("mark", "number"), Column("why"))
    return Table(columns, rows, "what to look at first")


def case_table(report: ClassReport) -> Table:
    heads = ("n", "passed", "mean", "lowest", "highest")
    rows = tuple(
        (c.name, str(len(c.marks)), str(c.passed), f"{c.mean:.0f}", f"{c.marks[0]:.0f}", f"{c.marks[-1]:.0f}")
        for c in report.cases
    )
    columns = (Column("case"), *(Column(head, "number") for head in heads))
    return Table(columns, rows, "marks by case")


def conclusions(report: ClassReport) -> Iterator[str]:
    """What to teach next, whether the figures can be trusted, how far an instructor agrees."""
    if report.lessons:
        yield f"Teach next: {report.lessons[0]}"
    elif report.lost and report.lost[0][1] >= 1:
        name, points, of = report.lost[0]
        yield f"Most points were lost in {TITLES[name]}: {points:.1f} of {of:.0f} on average of a session."
    if sessions(report.people):
        yield f"{reliability_words(report)} {trust_words(report)}"


def reliability_words(report: ClassReport) -> str:
    """ "Reliability 0.82 (0.66 to 0.91; uncertain: only 12 people)."; "Reliability: too few to say." """
    found = report.reliability
    if found.value is None:
        return f"Reliability: {found.note}."
    low, high = found.interval or (found.value, found.value)
    note = f"; {found.note}" if found.note else ""
    return f"Reliability {found.value:.2f} ({low:.2f} to {high:.2f}{note})."


def trust_words(report: ClassReport) -> str:
    """How far the marks agree with an instructor's; where none were given, that nothing shows it."""
    found = report.agreement
    if found is None:
        return "Nothing here shows yet that an instructor would give these marks (--against marks.csv)."
    if found.difference is None:
        return "No mark of the instructor belongs to any work that was graded."
    value, note = found.kappa.value, f" ({found.kappa.note})" if found.kappa.note else ""
    agree = f"weighted kappa {value:.2f}{note}" if value is not None else f"agreement: {found.kappa.note}"
    apart = "higher" if found.difference >= 0 else "lower"
    left = [f"{who} {case}".rstrip() for who, case in found.missing]
    own = f" Own marks without graded work: {listed(left, 'and')}." if left else ""
    return (
        f"Against the instructor's own {counted(len(found.pairs), 'mark')}: {agree}, in the bands "
        f"{', '.join(found.bands)}; proposed marks are {abs(found.difference):.1f} points {apart} on "
        f"average.{own}"
    )
