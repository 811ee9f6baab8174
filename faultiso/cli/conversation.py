"""A conversation at a terminal or from a file: the question, the line, the replies, until it is over."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Protocol

from faultiso.cli.errors import DONE, LEFT, WRONG_USE

if TYPE_CHECKING:
    from faultiso.base.journal import Journal
    from faultiso.base.notice import Subject
    from faultiso.cli.console import Console
    from faultiso.model.system import Model
    from faultiso.session.desk import Desk
    from faultiso.session.isolation import Isolation
    from faultiso.session.replies import Question, Reply


class Session(Protocol):
    """What can be talked with: guided isolation, or practice on a hidden fault."""

    desk: Desk

    @property
    def over(self) -> bool: ...

    @property
    def ended(self) -> bool: ...

    def question(self) -> Question: ...

    def take(self, line: str) -> tuple[Reply, ...]: ...

    def leave(self) -> None: ...

    def work_ahead(self) -> None: ...


class Loading:
    """A model that is loaded while a person reads and types the first answer."""

    def __init__(self, path: Path) -> None:
        self.files: tuple[Path, ...] = ()
        self._path = path
        self._model: Model | None = None
        self._error: Exception | None = None
        self._thread: Thread | None = None

    def begin(self) -> None:
        self._thread = Thread(target=self._load, daemon=True)
        self._thread.start()

    def wait(self) -> Model:
        """The model, as soon as it is there; whatever was wrong with it is raised here."""
        if self._thread is None:
            self._load()
        else:
            self._thread.join()
        if self._model is None:
            raise self._error or AssertionError("loading ended without a model")
        return self._model

    def _load(self) -> None:
        try:
            from faultiso.base.problems import InvalidModel
            from faultiso.language.load import load
            from faultiso.session import home, isolation  # noqa: F401  # imported here, where there is time

            loaded = load(self._path, lint=False)
            if loaded.model is None:
                raise InvalidModel(loaded.errors)
            self.files = tuple(Path(name) for name in loaded.texts)
            self._model = loaded.model
        except Exception as error:
            self._error = error


def asked_at_once(path: Path, console: Console, loading: Loading) -> str | None:
    """Ask the first question by a glance at the file and load the model meanwhile; None without a glance."""
    from faultiso.cli.console import Left
    from faultiso.language.peek import peek
    from faultiso.session.replies import FIRST_PROMPT, FIRST_QUESTION, Listing, Said

    glance = peek(path)
    if glance is None:
        return None
    show_opening(console, glance.title, glance.subject)
    show_replies((Said(FIRST_QUESTION), Listing(glance.situations)))
    console.prepare()
    loading.begin()
    try:
        return console.ask(FIRST_PROMPT, FIRST_QUESTION)
    except Left:
        return "quit"


def show_opening(console: Console, title: str, subject: Subject) -> None:
    """The first words of a session, the notice among them."""
    from faultiso.report.pages.isolation import opening_page

    console.show(opening_page(title, subject))
    console.say("")


def show_replies(replies: Iterable[Reply], model: Model | None = None) -> None:
    """Replies on stderr, each as a block of a page."""
    from faultiso.cli.streams import look_of, say
    from faultiso.report.pages.isolation import blocks
    from faultiso.report.terminal import render_blocks

    found = blocks(model, replies)
    if found:
        say(render_blocks(found, look_of(sys.stderr)))


def converse(
    session: Isolation, console: Console, journal: Journal, json: bool = False, first: str | None = None
) -> int:
    """Guided isolation until it is over; then the summary.

    ``first`` is the answer to the first question, if that was asked before the model was loaded.
    """
    say = Sayer(session, console)
    if first is None:
        say.opening()
    code = talk(session, console, say, first)
    if code == DONE and (session.ended or json):
        _show_summary(session, journal, json)
    return code


def talk(session: Session, console: Console, say: Sayer, first: str | None = None) -> int:
    """Ask and take answers until the session is over; an exit code."""
    from faultiso.base.text import wrap
    from faultiso.cli.console import Left, OutOfAnswers
    from faultiso.cli.streams import columns_of, patiently

    session.desk.room = columns_of(sys.stderr) - 10
    Thread(target=session.desk.wake, daemon=True).start()
    try:
        if first is not None:
            say.known()
            say.replies(_taken(session, console, first))
        while not session.over:
            with _at_work(session):
                with patiently():
                    session.question()
                question = say.asked()
            if console.interactive:  # work ahead while the person reads and works
                Thread(target=session.work_ahead, daemon=True).start()
            line = console.ask(question.prompt, question.text)
            with _at_work(session):
                if line.strip().casefold() == "undo":
                    say.forget()
                say.replies(_taken(session, console, line))
    except OutOfAnswers as ran_out:
        session.leave()
        told = str(ran_out)
        end = "" if told.endswith(("?", ".")) else "."
        console.say(
            "\n".join(wrap(f"Saved. {told}{end} Go on with: faultiso resume", session.desk.room + 10))
        )
        return WRONG_USE
    except Left:
        session.leave()
        console.say("Saved. Go on with: faultiso resume")
        return LEFT
    return DONE


@contextmanager
def _at_work(session: Session) -> Iterator[None]:
    """While nothing is worked ahead."""
    from faultiso.cli.streams import patiently

    with patiently():
        session.desk.working.acquire()
    try:
        yield
    finally:
        session.desk.working.release()


def _taken(session: Session, console: Console, line: str) -> tuple[Reply, ...]:
    """The line taken; if the disk is full, again after room was made."""
    from faultiso.base.journal import NotSaved
    from faultiso.cli.console import Left
    from faultiso.cli.streams import patiently

    while True:
        try:
            with patiently():
                return session.take(line)
        except NotSaved as error:
            if not console.interactive:
                raise NotSaved(f"{error} Make room, then: faultiso resume") from None
            console.say(f"{error} Make room. Enter tries again with: {line}")
            if console.ask("Enter, or quit > ").strip() == "quit":
                raise Left from None


class Sayer:
    """Shows replies, and what belongs to a question once for each question."""

    def __init__(self, session: Session, console: Console) -> None:
        self._session = session
        self._console = console
        self._keys: dict[str, object] = {}
        self._leaders: Reply | None = None
        self._shown: set[str] = set()

    def opening(self) -> None:
        model = self._session.desk.model
        show_opening(self._console, model.title, model.subject)
        if self._session.desk.state.situations:
            from faultiso.session.replies import Said
            from faultiso.session.summary import recap

            self.replies((Said(recap(self._session.desk)),))

    def known(self) -> None:
        """The open question is on the screen already."""
        question = self._session.question()
        self._keys[question.name] = question.key

    def asked(self) -> Question:
        """The open question; what belongs to it is shown once, however often the question is repeated."""
        question = self._session.question()
        once = question.name == "reports" and question.before[:1] and question.text in self._shown
        if question.key != self._keys.get(question.name) and not once:
            if question.name == "work":
                self._console.say("")
            self.replies(self._news(question.before))
        self._shown.add(question.text)
        self._keys[question.name] = question.key
        return question

    def _news(self, replies: tuple[Reply, ...]) -> Iterable[Reply]:
        """Without who leads, if that is what was shown last: nothing that was read is said again."""
        from faultiso.session.replies import Leaders

        for reply in replies:
            if isinstance(reply, Leaders):
                if reply == self._leaders:
                    continue
                self._leaders = reply
            yield reply

    def forget(self) -> None:
        """What was asked is asked again in full: something is withdrawn."""
        self._keys.clear()
        self._shown.clear()
        self._leaders = None

    def replies(self, replies: Iterable[Reply]) -> None:
        show_replies(replies, self._session.desk.model)


def _show_summary(session: Isolation, journal: Journal, json: bool) -> None:
    """The work summary on stdout, and as a text in the reports folder when the session has ended."""
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.isolation_end import summary_page
    from faultiso.report.terminal import render
    from faultiso.session.summary import summary

    found = summary(session.desk)
    files = [("Log", str(journal.path))]
    if session.ended:
        files += _written(journal, render(summary_page(found, files, journal.receipt)))
    if json:
        paths = {name.lower(): path for name, path in files}
        data = {**found.record(), **paths, "receipt": journal.receipt}
        sys.stdout.write(document(data, session.desk.model.subject))
    else:
        show(summary_page(found, files, journal.receipt))


def _written(journal: Journal, text: str) -> list[tuple[str, str]]:
    """The summary's file; a disk that takes no more is told, and takes nothing away."""
    from faultiso.cli.streams import say
    from faultiso.session.home import HomeError, home, write_whole

    place = home()
    try:
        target = place.ready(place.reports) / f"{journal.path.stem}.txt"
        write_whole(target, text)
    except HomeError as error:
        say(str(error))
        return []
    return [("Summary", str(target))]
