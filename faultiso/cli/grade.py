"""``faultiso grade``: proposed marks of a session, or of a class with its report."""

from __future__ import annotations

import sys
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.class_output import Beside, report_of, show_class
from faultiso.cli.errors import DONE, NO
from faultiso.cli.keys import KeyFile
from faultiso.cli.output import write_page

if TYPE_CHECKING:
    from faultiso.assessment.classes.grading import Graded, Terms
    from faultiso.assessment.standing import Standing
    from faultiso.assessment.submissions import Refused, Submission
    from faultiso.casebook.packs.key import Key

File = Path | None


def grade(
    sessions: Annotated[
        list[str],
        typer.Argument(
            metavar="SESSION...", help="A number, a log, a zip file, a folder.", show_default=False
        ),
    ],
    rubric: Annotated[str, typer.Option("--rubric", help="A rubric by its name, or a file.")] = "default",
    roster: Annotated[
        Path | None, typer.Option("--roster", metavar="FILE", help="Names: candidate,name (CSV).")
    ] = None,
    receipts: Annotated[
        Path | None,
        typer.Option("--receipts", metavar="FILE", help="On paper: candidate,case,receipt (CSV)."),
    ] = None,
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE", help="Write the marks as CSV.")] = None,
    html: Annotated[Path | None, typer.Option("--html", metavar="FILE", help="Write the whole page.")] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
    anonymous: Annotated[bool, typer.Option("--anonymous", help="Without names, of files too.")] = False,
    keep: Annotated[
        str, typer.Option("--keep", help="Which attempts count: first, last, best, all.")
    ] = "all",
    until: Annotated[str, typer.Option("--until", metavar="TIME", help="What ended later is late.")] = "",
    against: Annotated[
        Path | None, typer.Option("--against", metavar="FILE", help="Your marks: candidate,case,mark (CSV).")
    ] = None,
    marks: Annotated[
        Path | None, typer.Option("--marks", metavar="FILE", help="What was confirmed: a file of marks.")
    ] = None,
    earlier: Annotated[
        Path | None, typer.Option("--earlier", metavar="FILE", help="What --json wrote of an earlier class.")
    ] = None,
    key_file: KeyFile = None,
    processes: Annotated[
        int, typer.Option("--processes", metavar="NUMBER", min=0, help="That work at once; 0: one a core.")
    ] = 0,
) -> int:
    """Propose marks: of a session, or of a class with what to look at first and to teach next."""
    from faultiso.assessment.classes.decided import decided
    from faultiso.assessment.classes.grading import without_files
    from faultiso.assessment.submissions import submissions

    terms = _terms(rubric, keep, until, roster, receipts)
    beside = _beside(against, earlier)
    paths = [_path(named) for named in sessions]
    key = _key(key_file)
    of_a_class = len(paths) > 1 or paths[0].is_dir()
    of_a_class |= any((roster, receipts, csv, until, against, earlier, marks))
    if not of_a_class:
        first = list(islice(submissions(paths, key), 2))
        if len(first) == 1:
            return _one(first[0], terms, html, json)
    standings = _standings(marks)
    result = decided(_graded(paths, key, terms, processes), standings)
    result = without_files(result) if anonymous else result
    people = None if anonymous else terms.roster
    report = report_of(_title(paths, anonymous), result, terms.rubric, people, beside)
    show_class(report, result.subject, csv, html, json)
    return DONE if result.all_judged else NO


def _terms(rubric: str, keep: str, until: str, roster: File, receipts: File) -> Terms:
    from faultiso.assessment.attempts import rule_of, until_of
    from faultiso.assessment.classes.grading import Terms
    from faultiso.assessment.receipts import read_receipts
    from faultiso.assessment.roster import read_roster
    from faultiso.assessment.rubric import find_rubric
    from faultiso.cli.streams import say

    people = read_roster(roster) if roster else None
    for problem in people.problems if people else ():
        say(f"Warning: {problem}")
    moment = until_of(until) if until else None
    noted = read_receipts(receipts) if receipts else None
    return Terms(find_rubric(rubric), rule_of(keep), moment, noted, people)


def _beside(against: File, earlier: File) -> Beside:
    """An instructor's own marks and an earlier class; read first, so that a slip is told at once."""
    from faultiso.assessment.classes.blind import read_blind
    from faultiso.assessment.classes.earlier import read_earlier

    return read_blind(against) if against else None, read_earlier(earlier) if earlier else None


def _standings(marks: File) -> tuple[Standing, ...]:
    """What stands in a file of marks; read before anything is judged, so that a slip is told at once."""
    from faultiso.assessment.replaying import read_marks

    if marks is None:
        return ()
    if not marks.is_file():
        raise UsageError(f"{marks}: there is no such file of marks; faultiso marks propose makes one.")
    return tuple(read_marks(marks).values())


def _path(named: str) -> Path:
    """A file or folder, or the log of the session with that number."""
    from faultiso.session.home import find_log, home

    path = Path(named)
    if named.isascii() and named.isdigit() and not path.exists():
        return find_log(home(), named).path
    return path


def _key(file: File) -> Key | None:
    from faultiso.casebook.packs.key import key_in

    return key_in(file) if file else None


def _one(found: Submission | Refused, terms: Terms, html: File, json: bool) -> int:
    """One session: its marks, and whether it passed."""
    from faultiso.assessment.classes.judging import outcome_of
    from faultiso.assessment.grade import record
    from faultiso.assessment.kept_positions import remembered
    from faultiso.assessment.submissions import Refused
    from faultiso.cli.streams import say, show
    from faultiso.report.json_output import document
    from faultiso.report.pages.grade import grade_page
    from faultiso.session.home import home_if_any

    if isinstance(found, Refused):
        raise UsageError(str(found))
    if not found.finished:
        raise UsageError(f"{found.called}: {found.unfinished}; no mark. Go on with it: faultiso resume")
    with remembered(home_if_any()) as memory:
        marked = outcome_of(found, terms.rubric, memory).grade
    title = f'Proposed marks: {found.case.name}, "{found.case.title}"'
    page = grade_page(marked, title, found.model.subject)
    if html:
        write_page(html, page)
        say(f"Written: {html}")
    if json:
        sys.stdout.write(document(record(marked), found.model.subject))
    else:
        show(page)
    return DONE if marked.passed else NO


def _graded(paths: list[Path], key: Key | None, terms: Terms, processes: int) -> Graded:
    from faultiso.assessment.classes.grading import class_of
    from faultiso.assessment.classes.many import Judging, judged_files
    from faultiso.assessment.gathering import files_of
    from faultiso.cli.streams import counting
    from faultiso.session.home import home_if_any

    files = list(files_of(paths))
    with counting(f"{{0}} of {len(files)} judged") as tell:
        result = class_of(
            judged_files(files, Judging(terms.rubric, key, home_if_any()), processes, tell), terms
        )
    if not result.outcomes and not result.aside:
        raise UsageError(
            "There is no log; expected logs (.jsonl), zip files of faultiso hand-in, or folders."
        )
    return result


def _title(paths: list[Path], anonymous: bool) -> str:
    """The class is called by its folder."""
    named = paths[0].resolve().name if len(paths) == 1 and paths[0].is_dir() and not anonymous else ""
    return f"Class: {named}" if named else "Class"
