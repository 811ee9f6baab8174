"""The way from a command line to the command that is meant.

A command is imported when it is called: the help and the start page need neither the command line library
nor anything else that takes time to load.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any

from faultiso import __version__
from faultiso.base.problems import UsageError
from faultiso.base.text import one_line
from faultiso.cli.commands import COMMANDS, Command
from faultiso.cli.errors import DONE, guarded
from faultiso.cli.outputs import refuse_overwriting
from faultiso.cli.streams import PLAIN, is_conversation, prepare, show
from faultiso.report.page import Column, Heading, KeyValues, Page, Table, Text

if TYPE_CHECKING:
    from typer import Typer

_COMPLETION = "_FAULTISO_COMPLETE"
_HELP = ("-h", "--help", "help")


def main(arguments: Sequence[str] | None = None) -> None:
    """The program: runs and leaves with an exit code."""
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: Sequence[str]) -> int:
    """The program as a function: the exit code, and never an exception."""
    prepare()
    words = [word for word in arguments if word != "--plain"]
    if len(words) < len(arguments):
        os.environ[PLAIN] = "1"
    return guarded(lambda: _dispatched(words))


def _dispatched(words: list[str]) -> int | None:
    if os.environ.get(_COMPLETION) or (words and words[0] in ("--install-completion", "--show-completion")):
        return _called(COMMANDS, words)
    if not words and is_conversation():
        return _started()
    if words[:1] == ["--version"]:
        return _shown(Page(f"faultiso {__version__}"))
    if not words or (words[0] in _HELP and len(words) == 1):
        return _shown(help_page())
    if words[0] in _HELP:
        words = [words[1], "--help"]
    return _called((_command(words[0]),), words)


def _shown(page: Page) -> int:
    show(page)
    return DONE


def _command(name: str) -> Command:
    found = next((command for command in COMMANDS if command.name == name), None)
    if found is not None:
        return found
    from faultiso.base.nearest import nearest

    names = [command.name for command in COMMANDS]
    close = nearest(name, names)
    hint = f" Nearest: {close}." if close else ""
    kind = "option" if name.startswith("-") else "command"
    raise UsageError(f'No {kind} is called "{one_line(name, 60)}"; commands are {", ".join(names)}.{hint}')


def _called(commands: Sequence[Command], words: list[str]) -> int | None:
    from faultiso.cli.groups import program

    refuse_overwriting(words)
    command = program(_assembled(commands))
    code: Any = command.main(words, prog_name="faultiso", standalone_mode=False)
    return code if isinstance(code, int) else None


def _assembled(commands: Sequence[Command]) -> Typer:
    """The command line of these commands: all of them for completion, else the one that is called."""
    import typer

    from faultiso.cli.groups import ending, new_group

    app = new_group("faultiso", completion=len(commands) == len(COMMANDS))
    for command in commands:
        module, _, name = command.home.partition(":")
        target = getattr(import_module(module), name)
        if isinstance(target, typer.Typer):
            app.add_typer(target, name=command.name)
        else:
            app.command(command.name, epilog=ending(command.example))(target)
    return app


def help_page() -> Page:
    """All commands with an example each; fits a screen of 80 by 24."""
    commands = tuple((command.example, command.summary) for command in COMMANDS)
    options = (
        ("--help", "behind a command: what it takes"),
        ("--plain", "everywhere: lines for screen readers"),
        ("--version", "the version"),
        ("--install-completion", "let the shell complete commands"),
    )
    return Page(
        f"faultiso {__version__}",
        blocks=(
            Text("Find a fault from what is seen and checked, and the minutes it takes."),
            Heading("Commands, by example"),
            KeyValues(commands),
            Heading("Options"),
            KeyValues(options),
        ),
    )


def start_page() -> Page:
    """What a person at a terminal can begin with."""
    rows = tuple((str(n), command.start, command.begins) for n, command in enumerate(_starts(), 1))
    columns = (Column("", "number"), Column(""), Column(""))
    return Page(f"faultiso {__version__}", blocks=(Table(columns, rows),))


def _starts() -> list[Command]:
    return [command for command in COMMANDS if command.start]


def _started() -> int | None:
    """Show the start page, ask for a number and go there; Enter takes the first."""
    from faultiso.cli.console import open_console
    from faultiso.session.prompt import Command as Word
    from faultiso.session.prompt import Nothing, Offer, Pick, understand
    from faultiso.session.search import Findable

    console = open_console()
    starts = _starts()
    offer = Offer(choices=tuple(Findable(start.name, start.start) for start in starts))
    console.show(start_page())
    console.say("")
    while True:
        match understand(console.ask("Number, or Enter for 1 > "), offer):
            case Nothing():
                return _begun(starts[0])
            case Pick(thing):
                return _begun(_command(thing.name))
            case Word("quit"):
                return DONE
            case Word("help"):
                return _shown(help_page())
            case _:
                console.say(f"A number from 1 to {len(starts)}, help, or quit.")


def _begun(command: Command) -> int | None:
    return _called((command,), command.begins.split()[1:])
