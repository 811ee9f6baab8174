"""What ``faultiso grade`` makes of a class: its report, the page on the screen, the files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from faultiso.assessment.classes.against import Blind
    from faultiso.assessment.classes.earlier import Earlier
    from faultiso.assessment.classes.grading import Graded
    from faultiso.assessment.classes.report import ClassReport
    from faultiso.assessment.roster import Roster
    from faultiso.assessment.rubric import Rubric
    from faultiso.base.notice import Subject

Beside = tuple["Blind | None", "Earlier | None"]


def report_of(
    title: str, result: Graded, rubric: Rubric, roster: Roster | None, beside: Beside
) -> ClassReport:
    """The report of what was graded. ``roster``: None for a report without names."""
    from faultiso.assessment.classes.people import nameless
    from faultiso.assessment.classes.report import class_report

    return class_report(
        title,
        result.outcomes,
        rubric,
        roster.name if roster else nameless,
        result.aside,
        result.noted,
        *beside,
    )


def show_class(
    report: ClassReport, subject: Subject, csv: Path | None, html: Path | None, json: bool
) -> None:
    """Write the files that are wanted, then the screen or the document."""
    from faultiso.assessment.classes.record import class_record
    from faultiso.cli.output import Output, deliver
    from faultiso.report.pages.class_paper import class_paper
    from faultiso.report.pages.class_report import class_screen
    from faultiso.report.pages.class_rows import HEAD, class_rows

    output = Output(
        subject=subject,
        screen=lambda files: class_screen(report, subject, files),
        paper=lambda: class_paper(report, subject),
        head=HEAD,
        rows=lambda: class_rows(report),
        record=lambda: class_record(report),
        rows_are="Marks",
    )
    deliver(output, csv, html, json)
