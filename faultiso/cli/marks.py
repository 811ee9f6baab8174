"""``faultiso marks``: propose marks, confirm or change them, grade again."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.errors import DONE, NO
from faultiso.cli.groups import ending, new_group
from faultiso.cli.isolate import Answers
from faultiso.cli.keys import KeyFile
from faultiso.cli.model import Json

if TYPE_CHECKING:
    from faultiso.assessment.grade import Grade
    from faultiso.assessment.moderation import Marks
    from faultiso.assessment.regrading import Regraded
    from faultiso.assessment.standing import Standing
    from faultiso.assessment.submissions import Refused, Submission

    Found = Iterator[Submission | Refused]

group = new_group(
    "Marks of a class: proposed, then confirmed or changed by an instructor. Lines are only added."
)

File = Annotated[Path, typer.Argument(metavar="MARKS", help="The file of marks.", show_default=False)]
Folders = Annotated[
    list[Path] | None,
    typer.Argument(metavar="FOLDER...", help="Folders, logs, zip files.", show_default=False),
]
Rubric = Annotated[str, typer.Option("--rubric", help="A rubric by its name, or a file.")]
By = Annotated[str, typer.Option("--by", metavar="WHO", help="Who decides: initials say.")]
Because = Annotated[str, typer.Option("--because", metavar="TEXT", help="Why; kept for ever.")]
Names = Annotated[
    Path | None, typer.Option("--roster", metavar="FILE", help="Names to show (CSV); never written.")
]


@group.command("propose", epilog=ending("faultiso marks propose marks.jsonl class/monday"))
def propose(
    marks: File,
    folders: Folders = None,
    rubric: Rubric = "default",
    roster: Names = None,
    key_file: KeyFile = None,
    json: Json = False,
) -> int:
    """Grade what was handed in, and add the proposals to a file of marks. Exit 1 if a file was not graded."""
    from faultiso.assessment.moderation import Marks
    from faultiso.assessment.proposing import proposed

    with _grader(rubric) as (grader, digest), Marks(marks) as open_:
        left = list(proposed(open_, _handed_in(folders, key_file), grader, digest))
        _say_all(each.sentence for each in left)
        _show_marks(list(open_.standing.values()), roster, json)
    return DONE if all(each.settled for each in left) else NO


@group.command("confirm", epilog=ending("faultiso marks confirm marks.jsonl 14 --by MK"))
def confirm(
    marks: File,
    candidate: Annotated[
        str, typer.Argument(metavar="CANDIDATE", help="One number; none: everybody.", show_default=False)
    ] = "",
    case: Annotated[str, typer.Option("--case", metavar="CASE", help="Only this case.")] = "",
    everything: Annotated[
        bool, typer.Option("--all", help="Unasked; without CANDIDATE only where there is nothing to look at.")
    ] = False,
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="CRITERION=POINTS", help="Change it first; may be given often."),
    ] = None,
    because: Because = "",
    by: By = "",
    roster: Names = None,
    answers: Answers = None,
    json: Json = False,
) -> int:
    """Make proposed marks results, or change them with a reason. Both values are kept."""
    from faultiso.assessment.confirming import chosen, confirm_all, set_and_confirm
    from faultiso.cli.confirming import guide

    if not by.strip():
        raise UsageError("Who decides has to be told: --by WHO, initials say.")
    with _opened(marks) as open_:
        about = chosen(open_, candidate, case)
        if settings:
            set_and_confirm(open_, about, settings, because, by)
        elif everything:
            _say_all(confirm_all(open_, about, by, unseen=bool(candidate)))
        else:
            guide(open_, about, by, _shown(roster), answers)
        _show_marks(list(open_.standing.values()) if json else chosen(open_, candidate, case), roster, json)
    return DONE


@group.command(
    "again", epilog=ending("faultiso marks again marks.jsonl class/monday --because spring --by MK")
)
def again(
    marks: File,
    folders: Folders = None,
    rubric: Annotated[
        str, typer.Option("--rubric", help="Another rubric by its name, or a file.", show_default=False)
    ] = "",
    corrected: Annotated[
        list[Path] | None,
        typer.Option("--case", metavar="FILE", help="A corrected case to grade by; may be given often."),
    ] = None,
    withdraw: Annotated[
        str, typer.Option("--withdraw", metavar="CASE", help="Withdraw all marks of this case.")
    ] = "",
    because: Because = "",
    by: By = "",
    roster: Names = None,
    key_file: KeyFile = None,
    json: Json = False,
) -> int:
    """Grade again by another rubric or a corrected case: who is affected, what moved and why."""
    from faultiso.assessment.regrading import Again, regraded, withdrawn

    if not by.strip() or not because.strip():
        raise UsageError("Grading again needs a reason and a name: --because TEXT --by WHO.")
    if bool(folders) == bool(withdraw):
        both = ", not both" if folders else ""
        raise UsageError(f"Name the folders of the logs, or a case with --withdraw CASE{both}.")
    with _opened(marks) as open_:
        if withdraw:
            _refuse_unknown(open_, withdraw)
            found = withdrawn(open_, withdraw, because, by)
        else:
            handed_in = _with_corrected(_handed_in(folders, key_file), corrected or [])
            with _grader(rubric or _last_rubric(open_)) as (grader, digest):
                found = tuple(regraded(open_, handed_in, Again(grader, digest, because, by)))
    _show_again(found, roster, json)
    return NO if any(each.state == "not graded" for each in found) else DONE


def _refuse_unknown(marks: Marks, case: str) -> None:
    """UsageError for a case of which there are no marks."""
    from faultiso.base.nearest import listed, nearest

    cases = sorted({each.case for each in marks.standing.values()})
    if case not in cases:
        close = nearest(case, cases)
        hint = f"; nearest: {close}" if close else f"; there are marks of {listed(cases, 'and')}"
        raise UsageError(f'There are no marks of a case "{case[:40]}"{hint}.')


def _last_rubric(marks: Marks) -> str:
    """The shipped rubric by which all was graded last; UsageError where it was another, or several."""
    from faultiso.assessment.rubric import SHIPPED, shipped_rubric

    last = {(str(each.grade["rubric"]), each.digests["rubric"]) for each in marks.standing.values()}
    if not last:
        return "default"
    name, digest = next(iter(last))
    if len(last) == 1 and name in SHIPPED and shipped_rubric(name).digest == digest:
        return name
    names = ", ".join(sorted({name for name, _ in last}))
    raise UsageError(f"Which rubric? It was graded by {names} before; say --rubric NAME or FILE.")


def _opened(path: Path) -> Marks:
    """A file of marks that is there; a slip in its name makes no new one."""
    from faultiso.assessment.moderation import Marks

    if not path.is_file():
        raise UsageError(f"{path}: there is no such file of marks; faultiso marks propose makes one.")
    return Marks(path)


@contextmanager
def _grader(rubric: str) -> Iterator[tuple[Callable[[Submission], Grade], str]]:
    """How a submission is graded, and the digest of the rubric; what ``grade`` worked out is known."""
    from faultiso.assessment.grading import grade
    from faultiso.assessment.kept_positions import remembered
    from faultiso.assessment.review import looked_back
    from faultiso.assessment.rubric import find_rubric
    from faultiso.session.home import home_if_any

    found = find_rubric(rubric)
    with remembered(home_if_any()) as memory:

        def graded(each: Submission) -> Grade:
            review = looked_back(each.case, each.done, each.state, memory, closely=False)
            return grade(review, found, each.receipt)

        yield graded, found.digest


def _handed_in(folders: list[Path] | None, key_file: Path | None) -> Found:
    from faultiso.assessment.submissions import submissions
    from faultiso.cli.keys import key_to_open

    if not folders:
        raise UsageError("Name folders, logs or zip files that were handed in.")
    return submissions(folders, key_to_open(key_file) if key_file else None)


def _with_corrected(found: Found, files: list[Path]) -> Found:
    """What was handed in, with corrected cases in place of those that were worked."""
    from faultiso.assessment.submissions import Submission, with_case
    from faultiso.casebook.load import read_case
    from faultiso.casebook.models import Models
    from faultiso.session.home import home

    models = Models((home().models,))
    cases = {case.name: (case, model) for case, model in (read_case(file, models) for file in files)}
    for each in found:
        if isinstance(each, Submission) and each.case.name in cases:
            yield with_case(each, *cases[each.case.name])
        else:
            yield each


def _shown(roster: Path | None) -> Callable[[str], str]:
    """How a candidate number is shown: with the name behind it, if there is a roster."""
    from faultiso.assessment.roster import read_roster

    if roster is None:
        return str
    found = read_roster(roster)
    _say_all(map(str, found.problems))
    return found.shown


def _show_marks(standings: list[Standing], roster: Path | None, json: bool) -> None:
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.marks import marks_page, marks_record

    if json:
        sys.stdout.write(document(marks_record(standings)))
    else:
        show(marks_page(standings, _shown(roster)))


def _show_again(found: tuple[Regraded, ...], roster: Path | None, json: bool) -> None:
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.marks import again_page, again_record

    if json:
        sys.stdout.write(document(again_record(found)))
    else:
        show(again_page(found, _shown(roster)))


def _say_all(sentences: Iterable[str]) -> None:
    """Narration, broken at the width of the screen."""
    from faultiso.base.text import clean, wrap
    from faultiso.cli.streams import columns_of, say

    for sentence in sentences:
        say("\n".join(wrap(clean(sentence), columns_of(sys.stderr), rest="  ")))
