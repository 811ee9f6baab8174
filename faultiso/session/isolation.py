"""Guided isolation: ask, understand, record, say back. Nothing here reads a terminal or prints.

In a notebook:

    session = begin(model, log)          # a Journal, or Lines() to keep it in memory
    session.question().prompt
    session.take("pump 1 caution")
"""

from __future__ import annotations

from contextlib import suppress

from faultiso import __version__
from faultiso.base.journal import NotSaved
from faultiso.base.problems import FaultisoError, UsageError
from faultiso.model.system import Model
from faultiso.session import commands
from faultiso.session import events as kinds
from faultiso.session.answering import answer
from faultiso.session.asking import WORK, question
from faultiso.session.desk import Desk, Lines, Log
from faultiso.session.prompt import Command, Pick, understand
from faultiso.session.replies import Question, Reply, Said

__all__ = ["Isolation", "Lines", "begin", "go_on"]


class Isolation:
    """One isolation, new or gone on with: what is asked, and what a line does."""

    def __init__(self, model: Model, log: Log) -> None:
        self.desk = Desk(model, log)
        self._left = False
        self._asked: tuple[object, Question] | None = None

    @property
    def over(self) -> bool:
        """Whether there is nothing more to ask: ended, or left for later."""
        return self._left or self.desk.state.end is not None

    @property
    def ended(self) -> bool:
        return self.desk.state.end is not None

    def question(self) -> Question:
        """What is asked now."""
        key = (len(self.desk.log.entries), self.desk.choices)
        if self._asked is None or self._asked[0] != key:
            self._asked = (key, question(self.desk))
        return self._asked[1]

    def take(self, line: str) -> tuple[Reply, ...]:
        """What a line does. A slip costs one sentence; only NotSaved is raised, and then nothing happened."""
        asked = self.question()
        meaning = understand(line, asked.offer)
        try:
            _refuse_early(line, asked)
            if isinstance(meaning, Command):
                self._left = meaning.name == "quit"
                return commands.run(self.desk, meaning)
            if asked.name == "work" and isinstance(meaning, Pick) and "=" in meaning.thing.name:
                return commands.set_named(self.desk, meaning.thing.name)
            return answer(self.desk, asked.name, meaning, line)
        except NotSaved:
            raise
        except FaultisoError as slip:
            return (Said(str(slip)),)

    def work_ahead(self) -> None:
        """While the person reads: the next question for each likely answer. Made for a thread."""
        from faultiso.session.foresight import foresee

        foresee(self.desk)

    def leave(self) -> None:
        """Save and leave: the person is gone, the question stays open."""
        self._left = True
        with suppress(NotSaved):  # what was answered is on the disk; that the person left need not be
            self.desk.record(kinds.LEFT)


def _refuse_early(line: str, asked: Question) -> None:
    """A command whose time has not come yet is not searched for as if it were a name."""
    first = line.split(" ")[0].casefold()
    if asked.name in ("reference",) or first in asked.offer.commands:
        return
    if first in WORK and asked.name != "work":
        raise UsageError(
            f"{first} comes at the next question of what to do; answer this one, or undo goes back."
        )


def begin(model: Model, log: Log, candidate: str = "", file: str = "") -> Isolation:
    """A new isolation with that model; the first line of the log says with what."""
    session = Isolation(model, log)
    session.desk.record(
        kinds.BEGAN,
        kind="isolate",
        model=model.name,
        title=model.title,
        subject=model.subject,
        digest=model.digest,
        file=file,
        tool=__version__,
        format=kinds.FORMAT,
        candidate=candidate,
    )
    return session


def go_on(model: Model, log: Log) -> Isolation:
    """An isolation that was left, or cut off: it stands where it stood."""
    session = Isolation(model, log)
    session.desk.record(kinds.RESUMED)
    return session
