"""``faultiso practice``: work a hidden fault; the system answers, the choices are the person's."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.base.text import one_line
from faultiso.cli.conversation import Sayer, talk
from faultiso.cli.errors import DONE
from faultiso.cli.isolate import Answers
from faultiso.cli.keys import KeyFile
from faultiso.cli.streams import columns_of

if TYPE_CHECKING:
    from faultiso.assessment.debrief import Debrief
    from faultiso.base.journal import Journal
    from faultiso.base.notice import Subject
    from faultiso.casebook.case import Case
    from faultiso.cli.console import Console
    from faultiso.model.system import Model
    from faultiso.practice.practice import Practice
    from faultiso.practice.terms import Mode, Terms
    from faultiso.report.pages.briefing import Headed
    from faultiso.session.home import Home

PROJECTED = 60  # columns in front of a class
Candidate = Annotated[
    str, typer.Option("--candidate", metavar="NUMBER", help="A number for the log; never a name.")
]


def practice(
    case: Annotated[
        str, typer.Argument(metavar="CASE", help="Its name, or a file; none: choose.", show_default=False)
    ] = "",
    mode: Annotated[
        str, typer.Option("--mode", help="coached, quiet, examination or classroom.")
    ] = "coached",
    candidate: Candidate = "",
    minutes: Annotated[
        str, typer.Option("--minutes", metavar="NUMBER", help="Real time that is allowed (0: no limit).")
    ] = "0",
    extra: Annotated[
        str, typer.Option("--extra", metavar="PERCENT", help="Extra time, per cent of the minutes.")
    ] = "0",
    pack: Annotated[
        Path | None, typer.Option("--pack", metavar="FILE", help="The case is in this sealed pack.")
    ] = None,
    key_file: KeyFile = None,
    answers: Answers = None,
    json: Annotated[bool, typer.Option("--json", help="The debrief as one JSON document.")] = False,
) -> int:
    """Practise on a hidden fault. What was answered has happened: there is no undo."""
    from faultiso.casebook.library import find_case
    from faultiso.cli.console import open_console
    from faultiso.cli.figures import figure
    from faultiso.practice.terms import Terms
    from faultiso.session.home import home

    allowed = figure("--minutes", minutes, 0, 1440) * (1 + figure("--extra", extra, 0, 300) / 100)
    terms = Terms(_mode(mode), _number(candidate), allowed)
    console, place = open_console(answers), home()
    if pack is not None:
        return _worked(console, place, *_sealed(place, pack, key_file, case, terms), json)
    name = case or _chosen(console, place)
    if not name:
        return DONE
    path = find_case(name, (place.cases,))
    told = _told_at_once(console, place, path, terms.mode)
    return _worked(console, place, *_loaded(place, path, terms), json, told)


def _sealed(
    place: Home, pack: Path, key_file: Path | None, name: str, terms: Terms
) -> tuple[Case, Model, Terms]:
    """A case of a sealed pack, which is kept as it is; its only case needs no name."""
    from faultiso.casebook.packs.pack import read_pack
    from faultiso.cli.keys import key_to_open
    from faultiso.session.home import keep_pack

    sealed = read_pack(pack)
    found = sealed.opened(key_to_open(key_file))
    if not name and len(found.names) != 1:
        raise UsageError(f"{pack}: name the case; it holds {', '.join(found.names)}")
    loaded = found.load(name or found.names[0])
    assert loaded.case is not None and loaded.model is not None  # PackError otherwise
    keep_pack(place, sealed.digest, sealed.data)
    return loaded.case, loaded.model, replace(terms, pack=sealed.digest)


def _number(candidate: str) -> str:
    """UsageError for what may be a name: it would stand in the log for good."""
    text = candidate.strip()
    if text and not re.fullmatch("(?:[A-Za-z]{1,3}-?)?[0-9]{1,10}[A-Za-z]?", text):
        shown = one_line(candidate, 40)
        raise UsageError(f'--candidate is a number such as 14 or B7, never a name; found "{shown}".')
    return text


def _mode(text: str) -> Mode:
    from faultiso.base.nearest import nearest
    from faultiso.practice.terms import MODES

    for mode in MODES:
        if text.casefold() == mode:
            return mode
    close = nearest(text, MODES)
    raise UsageError(f"--mode is {', '.join(MODES)}, not {text!r}" + (f"; nearest: {close}" if close else ""))


def _told_at_once(console: Console, place: Home, path: Path, mode: Mode) -> bool:
    """Title and write-up, by a glance at the files; False where the case has to be loaded first."""
    from faultiso.casebook.peek import peek

    glance = peek(path, (place.models,))
    if glance is not None:
        _show_head(console, glance, glance.model.title, glance.model.subject, mode)
    return glance is not None


def _show_head(console: Console, case: Headed, system: str, subject: Subject, mode: str) -> None:
    from faultiso.report.pages.briefing import head_page

    if mode == "classroom":  # large letters on a wall leave few columns
        os.environ["COLUMNS"] = str(min(columns_of(sys.stderr), PROJECTED))
    console.show(head_page(case, system, subject, mode))


def _loaded(place: Home, path: Path, terms: Terms) -> tuple[Case, Model, Terms]:
    """The case and its model, both kept; InvalidModel with everything that is wrong."""
    from faultiso.casebook.models import Models
    from faultiso.practice.opening import opened

    return opened(place, path, Models((place.models,)), terms)


def _worked(
    console: Console, place: Home, case: Case, model: Model, terms: Terms, json: bool, told: bool = False
) -> int:
    from faultiso.practice.practice import begin
    from faultiso.session.home import new_journal

    with new_journal(place, case.name) as journal:
        play = begin(case, model, journal, terms)
        return work(play, console, journal, place, json, told)


def work(
    play: Practice, console: Console, journal: Journal, place: Home, json: bool, told: bool = False
) -> int:
    """A practice, new or gone on with, until it is over; then the debrief. ``told``: its head was shown."""
    from faultiso.cli.streams import look_of
    from faultiso.cli.streams import say as narrate
    from faultiso.report.pages.briefing import course_blocks
    from faultiso.report.terminal import render_blocks

    model = play.desk.model
    if not told:
        _show_head(console, play.case, model.title, model.subject, play.mode)
    narrate("\n" + render_blocks(course_blocks(play.case, model), look_of(sys.stderr)) + "\n")
    say = Sayer(play, console)
    say.replies(play.so_far())
    code = talk(play, console, say)
    if code == DONE and play.ended:
        _show_debrief(play, journal, place, json)
    elif json:
        _show_open(play, journal)
    return code


def _show_open(play: Practice, journal: Journal) -> None:
    """For programs: that it is open still, at which question, and where its log is."""
    from faultiso.report.json_output import document

    data = {
        "case": play.case.name,
        "ended": False,
        "minutes": play.desk.state.minutes,
        "steps": len(play.desk.state.deeds),
        "question": play.question().text.rstrip(" >"),
        "log": str(journal.path),
    }
    sys.stdout.write(document(data, play.desk.model.subject))


def _show_debrief(play: Practice, journal: Journal, place: Home, json: bool) -> None:
    """The debrief on stdout, and as a page and a record in the reports folder."""
    from faultiso.assessment.debrief import debrief, record
    from faultiso.assessment.review import reviewed
    from faultiso.cli.streams import counted, show
    from faultiso.report.json_output import document
    from faultiso.report.pages.debrief import debrief_page
    from faultiso.session.desk import events_of

    if play.mode == "examination":
        return _show_handed_in(journal, play.desk.model.subject, json)
    desk = play.desk
    events = events_of(journal.entries)
    tell = counted("Looking back, step {0} of {1}")
    found = debrief(reviewed(play.case, desk.model, events, progress=tell))
    data = {**record(found), "aims": [aim.name for aim in play.case.aims], "receipt": journal.receipt}
    files = [("Log", str(journal.path)), *_written(found, data, journal, place)]
    if json:
        sys.stdout.write(document({**data, **{n.lower(): p for n, p in files}}, desk.model.subject))
    else:
        show(debrief_page(found, [*files, *_next(place)], journal.receipt))
    return None


def _show_handed_in(journal: Journal, subject: Subject, json: bool) -> None:
    """An examination ends without a word on how it went."""
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.page import KeyValues, Page, Text

    if json:
        sys.stdout.write(document({"log": str(journal.path), "receipt": journal.receipt}, subject))
        return
    pairs = (("Log", str(journal.path)), ("Receipt", f"{journal.receipt}   (hand it in with the log)"))
    show(
        Page(
            "Examination ended",
            subject,
            (Text("It is marked by an instructor."), KeyValues(pairs)),
            last=True,
        )
    )


def _written(
    found: Debrief, data: Mapping[str, object], journal: Journal, place: Home
) -> list[tuple[str, str]]:
    """The debrief's files; a disk that takes no more is told, and takes nothing away."""
    from faultiso.cli.streams import say
    from faultiso.report.html import page_html
    from faultiso.report.json_output import document
    from faultiso.report.pages.debrief import debrief_paper
    from faultiso.session.home import HomeError, write_whole

    try:
        folder = place.ready(place.reports)
        page, kept = folder / f"{journal.path.stem}.html", folder / f"{journal.path.stem}.json"
        write_whole(page, page_html(debrief_paper(found, journal.receipt)))
        write_whole(kept, document(data, found.model.subject))
    except HomeError as error:
        say(str(error))
        return []
    return [("Debrief", str(page))]


def _next(place: Home) -> list[tuple[str, str]]:
    """Which case comes next, by the weakest aim."""
    from faultiso.practice.history import history, next_case

    found = next_case(list(_cases(place).values()), history(place.reports))
    return [("Next", f'{found.name}, "{found.title}" ({found.stage})')] if found else []


def _cases(place: Home) -> dict[str, Case]:
    """Every case that can be read, by its name."""
    from faultiso.casebook.library import case_files
    from faultiso.casebook.load import load_case
    from faultiso.casebook.models import Models

    models = Models((place.models,))
    loaded = {name: load_case(path, models).case for name, path in case_files((place.cases,)).items()}
    return {
        name: case for name, case in loaded.items() if case is not None and case.review.state != "withdrawn"
    }


def _chosen(console: Console, place: Home) -> str:
    """Ask which case: what was done, what comes next; "" to leave."""
    from faultiso.practice.history import history, mastery, next_cases
    from faultiso.report.pages.practised import choice_page
    from faultiso.session.prompt import MOST_SHOWN, Choices, Command, Nothing, Offer, Pick, understand
    from faultiso.session.search import Findable

    cases, done = _cases(place), history(place.reports)
    proposed = (next_cases(list(cases.values()), done) or list(cases.values()))[:MOST_SHOWN]
    if not proposed:
        raise UsageError("There is no case; faultiso case list says where they are looked for.")
    best = proposed[0].name
    if not console.interactive:
        raise UsageError(f"Name a case: faultiso practice {best}; faultiso case list has all of them.")
    console.show(choice_page(proposed, len(cases), done, mastery(done)))
    things = {case.name: Findable(case.name, case.title, (case.name,)) for case in cases.values()}
    listed = tuple(things[case.name] for case in proposed)
    while True:
        offer = Offer(("quit", "help"), listed, tuple(things.values()))
        match understand(console.ask(f"Number, letters, or Enter for {best} > ", "which case"), offer):
            case Nothing():
                return best
            case Pick(thing):
                return thing.name
            case Choices(found):
                listed = found
                for number, thing in enumerate(found, 1):
                    console.say(f"  {number}  {thing.name}  {thing.title}")
            case Command("quit"):
                return ""
            case _:
                console.say("A number of the list, letters of a case by its name or its title, or quit.")
