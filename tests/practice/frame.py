"""What the tests of practice share: shipped cases read once, a case worked by lines, and what is said to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import Any

import pytest

from faultiso.casebook.case import Case
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.model.system import Model
from faultiso.practice.practice import Practice, begin, go_on
from faultiso.practice.terms import MODES, Mode, Terms
from faultiso.report.pages.isolation import blocks
from faultiso.report.terminal import Look, render_blocks
from faultiso.session.desk import Lines
from faultiso.session.replies import Reply, Warned

READ_ONCE = Models()
CASES = tuple(sorted(case_files()))
#: for tests that draw the world of a case, which takes a second: every eighth by default, all in the long run
EACH_CASE = [pytest.param(name, marks=() if n % 8 == 0 else pytest.mark.long) for n, name in enumerate(CASES)]
CART = "hot-cart"
#: what hangs on the model alone is tried with one of its cases
ONE_FOR_EACH_MODEL = ("hot-cart", "first-light", "dark-side")
ALL_MODES = MODES

#: a whole way through the case of the cart: from the first look to a proved repair
HOT_CART = (
    "overheat light", "fan test", "", "ready", "repair replace thermostat", "", "ready", "chapter 29",
    "let it cool", "ready", "nk",
)  # fmt: skip


@cache
def case_of(name: str) -> tuple[Case, Model]:
    """A shipped case with its model."""
    return read_case(case_files()[name], READ_ONCE)


def changed(name: str, **fields: Any) -> tuple[Case, Model]:
    """A shipped case with some of its fields replaced."""
    case, model = case_of(name)
    return replace(case, **fields), model


def started(
    name: str | tuple[Case, Model] = CART,
    mode: Mode = "quiet",
    minutes: float = 0.0,
    log: Lines | None = None,
    clock: Callable[[], datetime] = datetime.now,
) -> Practice:
    """A new practice with a log in memory."""
    case, model = case_of(name) if isinstance(name, str) else name
    return begin(case, model, Lines() if log is None else log, Terms(mode, "14", minutes), clock)


def worked(
    *lines: str, name: str | tuple[Case, Model] = CART, mode: Mode = "quiet", minutes: float = 0.0
) -> Practice:
    """A practice in which these lines were typed."""
    play = started(name, mode, minutes)
    for line in lines:
        play.take(line)
    return play


def gone_on_with(play: Practice, lines: int | None = None) -> Practice:
    """The same log, cut after so many lines, gone on with."""
    return go_on(play.case, play.desk.model, Lines(play.desk.log.entries[:lines]))


def shown(play: Practice, replies: tuple[Reply, ...]) -> str:
    """Replies as they stand on the screen, in one line."""
    return " ".join(render_blocks(blocks(play.desk.model, replies), Look(1000)).split())


def said(play: Practice, line: str) -> str:
    """What is said to a line."""
    return shown(play, play.take(line))


def asked(play: Practice) -> str:
    """What stands before the open question, and its prompt."""
    question = play.question()
    return f"{shown(play, question.before)} {question.prompt}"


def warned(play: Practice) -> Warned:
    """The cautions that stand before the open question."""
    return next(reply for reply in play.question().before if isinstance(reply, Warned))


def kinds_of(play: Practice) -> list[str]:
    """The events of the log."""
    return [entry.event for entry in play.desk.log.entries]
