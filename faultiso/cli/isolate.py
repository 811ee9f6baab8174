"""``faultiso isolate``: guided isolation of a fault from readings that a person types."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.cli.errors import DONE, LEFT, WRONG_USE

if TYPE_CHECKING:
    from faultiso.base.journal import Journal
    from faultiso.cli.console import Console
    from faultiso.session.home import Home
    from faultiso.session.isolation import Isolation
    from faultiso.session.replies import Question, Reply

Answers = Annotated[
    Path | None, typer.Option("--answers", metavar="FILE", help="The lines to type, from a file.")
]
Json = Annotated[bool, typer.Option("--json", help="The work summary as one JSON document.")]


def isolate(
    model: Annotated[
        str,
        typer.Argument(
            metavar="[MODEL]",
            help="A model file, or the name of one that comes with faultiso.",
            show_default=False,
        ),
    ] = "",
    observe: Annotated[
        list[str] | None,
        typer.Option(
            "--observe",
            metavar="NAME=OUTCOME[@SITUATION]",
            help="Something that was read; may be given often.",
        ),
    ] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="COND=VALUE", help="A condition as it is now; may be given often."),
    ] = None,
    others: Annotated[
        str, typer.Option("--others", metavar="normal|unknown", help="What the indications not named are.")
    ] = "",
    candidate: Annotated[
        str, typer.Option("--candidate", metavar="NUMBER", help="A number for the log; never a name.")
    ] = "",
    answers: Answers = None,
    json: Json = False,
) -> int:
    """Isolate a fault step by step: say what was seen, get the next action and its reason."""
    from faultiso.cli.console import open_console
    from faultiso.language.load import load
    from faultiso.language.shipped import find_model
    from faultiso.session.home import home, keep, new_journal
    from faultiso.session.isolation import begin

    console = open_console(answers)
    path = find_model(model or chosen_model(console))
    loaded = load(path, lint=False)
    if loaded.model is None:
        from faultiso.base.problems import InvalidModel

        raise InvalidModel(loaded.errors)
    place = home()
    keep(place, loaded.model.digest, (Path(name) for name in loaded.texts))
    with new_journal(place, loaded.model.name) as journal:
        session = begin(loaded.model, journal, candidate, path.name)
        if observe or settings or others:
            from faultiso.session.given import give

            give(session.desk, observe or (), settings or (), others)
        return converse(session, console, place, journal, json)


def chosen_model(console: Console) -> str:
    """Ask which of the shipped models; the only one is taken without asking."""
    from faultiso.language.shipped import shipped_models
    from faultiso.session.prompt import Nothing, Offer, Pick, understand
    from faultiso.session.search import Findable

    names = list(shipped_models())
    if len(names) == 1:
        return names[0]
    offer = Offer(("quit",), tuple(Findable(name, name.replace("-", " ")) for name in names))
    console.say("Which system?")
    for number, name in enumerate(names, 1):
        console.say(f"  {number}  {name.replace('-', ' ')}")
    while True:
        match understand(console.ask("Number, or Enter for 1 > ", "which system"), offer):
            case Nothing():
                return names[0]
            case Pick(thing):
                return thing.name
            case _:
                console.say(f"A number from 1 to {len(names)}, or letters of a name.")


def converse(session: Isolation, console: Console, place: Home, journal: Journal, json: bool = False) -> int:
    """Ask and take answers until the session is over; then the summary."""
    from faultiso.cli.console import Left, OutOfAnswers

    say = _Sayer(session, console)
    say.opening()
    Thread(target=session.desk.wake, daemon=True).start()
    try:
        while not session.over:
            question = say.asked()
            line = console.ask(question.prompt, question.text)
            say.replies(_taken(session, console, line))
    except OutOfAnswers as ran_out:
        session.leave()
        console.say(f"Saved. {ran_out} Go on with: faultiso resume")
        return WRONG_USE
    except Left:
        session.leave()
        console.say("Saved. Go on with: faultiso resume")
        return LEFT
    if session.ended or json:
        _show_summary(session, place, journal, json)
    return DONE


def _taken(session: Isolation, console: Console, line: str) -> tuple[Reply, ...]:
    """The line taken; if the disk is full, again after room was made."""
    from faultiso.base.journal import NotSaved

    while True:
        try:
            return session.take(line)
        except NotSaved as error:
            if not console.interactive:
                raise
            console.say(f"{error} Make room; Enter tries again with: {line}")
            console.ask("> ", "make room on the disk")


class _Sayer:
    """Shows replies, and what belongs to a question once for each question."""

    def __init__(self, session: Isolation, console: Console) -> None:
        self._session = session
        self._console = console
        self._key: object = None
        self._shown: set[str] = set()

    def opening(self) -> None:
        from faultiso.report.pages.isolation import opening_page

        self._console.show(opening_page(self._session.desk.model))

    def asked(self) -> Question:
        """The open question; what belongs to it is shown once, however often the question is repeated."""
        question = self._session.question()
        once = question.name == "reports" and question.before[:1] and question.text in self._shown
        if question.key != self._key and not once:
            self.replies(question.before)
        self._shown.add(question.text)
        self._key = question.key
        return question

    def replies(self, replies: Iterable[Reply]) -> None:
        from faultiso.cli.streams import look_of, say
        from faultiso.report.pages.isolation import blocks
        from faultiso.report.terminal import render_blocks

        found = blocks(self._session.desk.model, replies)
        if found:
            say(render_blocks(found, look_of(sys.stderr)))


def _show_summary(session: Isolation, place: Home, journal: Journal, json: bool) -> None:
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.isolation_end import summary_page
    from faultiso.session.summary import summary

    found = summary(session.desk)
    if json:
        data = {**found.record(), "log": str(journal.path), "receipt": journal.receipt}
        sys.stdout.write(document(data, session.desk.model.subject))
    else:
        show(summary_page(found, (("Log", str(journal.path)),), journal.receipt))
