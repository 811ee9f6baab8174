"""``faultiso resume``: go on with a session that was left, with the copy of its model that was kept."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import FaultisoError, UsageError
from faultiso.cli.conversation import converse
from faultiso.cli.errors import DONE
from faultiso.cli.isolate import Answers, Json
from faultiso.cli.keys import KeyFile

if TYPE_CHECKING:
    from faultiso.cli.console import Console
    from faultiso.report.page import Page
    from faultiso.session.home import Home, Log


def resume(
    session: Annotated[
        str,
        typer.Argument(metavar="SESSION", help="Its number, or the file of its log.", show_default=False),
    ] = "",
    key_file: KeyFile = None,
    answers: Answers = None,
    json: Json = False,
) -> int:
    """Go on with a session: nothing that was answered is lost."""
    from faultiso.base.journal import Journal
    from faultiso.cli.console import open_console
    from faultiso.session.home import find_log, home
    from faultiso.session.isolation import go_on
    from faultiso.session.kept import kept_model

    place = home()
    console = open_console(answers)
    log = find_log(place, session) if session else _chosen(place, console)
    if log is None:
        return DONE
    if log.trouble:
        raise FaultisoError(f"{log.trouble}\nSuch a log is not gone on with; it stays as it is.")
    if not log.is_open:
        raise UsageError(f"Session {log.name} has ended; faultiso resume lists those that are open.")
    if log.begun.get("kind") == "practice":
        return _practice(place, log, console, json, key_file)
    model = kept_model(place, log)
    with Journal(log.path, new=False) as journal:
        return converse(go_on(model, journal), console, journal, json)


def _practice(place: Home, log: Log, console: Console, json: bool, key_file: Path | None) -> int:
    from faultiso.base.journal import Journal
    from faultiso.cli.practice import work
    from faultiso.practice.practice import go_on
    from faultiso.session.kept import kept_case

    if log.begun.get("pack"):
        from faultiso.cli.keys import key_to_open
        from faultiso.session.kept import sealed_case

        case, model = sealed_case(place, log, key_to_open(key_file))
    else:
        case, model = kept_case(place, log)
    with Journal(log.path, new=False) as journal:
        return work(go_on(case, model, journal), console, journal, place, json)


def _chosen(place: Home, console: Console) -> Log | None:
    """Ask which of the open sessions, the newest first; None if none is open."""
    from faultiso.cli.streams import say
    from faultiso.session.home import logs
    from faultiso.session.prompt import MOST_SHOWN, Nothing, Offer, Pick, understand
    from faultiso.session.search import Findable

    found = [log for log in logs(place) if log.is_open][:MOST_SHOWN]
    if not found:
        say("No session is open.")
        return None
    console.show(_page(found))
    offer = Offer(("quit",), tuple(Findable(log.name, str(log.begun.get("model", ""))) for log in found))
    while True:
        match understand(console.ask("Number, or Enter for 1 > ", "which session"), offer):
            case Nothing():
                return found[0]
            case Pick(thing):
                return next(log for log in found if log.name == thing.name)
            case _:
                console.say(f"A number from 1 to {len(found)}.")


def _page(found: list[Log]) -> Page:
    from faultiso.report.page import Column, Page, Table

    rows = tuple(
        (
            str(number),
            log.name,
            f"{log.begun.get('kind', '')} {log.begun.get('model', '')}",
            f"{log.minutes:.0f} min",
            log.entries[-1].at[:16].replace("T", " "),
        )
        for number, log in enumerate(found, 1)
    )
    columns = (Column("", "number"), Column(""), Column(""), Column("", "number"), Column(""))
    return Page("Go on with", blocks=(Table(columns, rows, "open sessions"),))
