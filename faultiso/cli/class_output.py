"""What ``faultiso grade`` makes of a class: its report, the page on the screen, the files."""

from __future__ import annotations

import sys
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
    from faultiso.report.page import Page

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


def write_page(path: Path, page: Page) -> None:
    """The page as an HTML file, whole or not at all."""
    from faultiso.report.html import page_html
    from faultiso.session.home import write_whole

    write_whole(path, page_html(page))


def show_class(
    report: ClassReport, subject: Subject, csv: Path | None, html: Path | None, json: bool
) -> None:
    """Write the files that are wanted, then the screen or the document."""
    from faultiso.assessment.classes.record import class_record
    from faultiso.cli.streams import say, show
    from faultiso.report.csv_safe import csv_text
    from faultiso.report.json_output import document
    from faultiso.report.pages.class_paper import class_paper
    from faultiso.report.pages.class_report import class_screen
    from faultiso.report.pages.class_rows import HEAD, class_rows
    from faultiso.session.home import write_bytes_whole

    files = []
    if csv:
        write_bytes_whole(csv, csv_text(HEAD, class_rows(report), subject).encode("utf-8"))
        files.append(("Marks", str(csv)))
    if html:
        write_page(html, class_paper(report, subject))
        files.append(("Page", str(html)))
    if json:
        for _, name in files:
            say(f"Written: {name}")
        sys.stdout.write(document(class_record(report), subject))
    else:
        show(class_screen(report, subject, files))
