"""The key of a pack: from a file, or typed unseen at a terminal. It is never a word of the command line."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError

if TYPE_CHECKING:
    from faultiso.casebook.packs.key import Key

KeyFile = Annotated[
    Path | None,
    typer.Option("--key-file", metavar="FILE", help="The key, in a file; else it is asked for."),
]
_TRIES = 3


def key_to_open(file: Path | None) -> Key:
    """The key of a pack that is there. UsageError where nobody can be asked and no file is named."""
    from faultiso.casebook.packs.key import key_in, key_of

    return key_in(file) if file is not None else key_of(_typed("Passphrase > "))


def key_to_seal(file: Path | None) -> Key:
    """The key of a new pack, typed twice. UsageError if it is too short, or the two are not the same."""
    from faultiso.casebook.packs.key import SHORTEST, judge_new, key_in, key_of
    from faultiso.cli.streams import say

    if file is not None:
        key = key_in(file)
        judge_new(key)
        return key
    for _ in range(_TRIES):
        key = key_of(_typed(f"New passphrase, at least {SHORTEST} characters > "))
        judge_new(key)
        if key == key_of(_typed("Once more > ")):
            return key
        say("These were two different ones.")
    raise UsageError("No passphrase was typed twice the same; nothing was sealed.")


def _typed(prompt: str) -> str:
    from faultiso.cli.console import TerminalConsole
    from faultiso.cli.streams import is_conversation

    if not is_conversation():
        raise UsageError(
            "A passphrase is asked for at a terminal only; name the file of the key: --key-file FILE."
        )
    return TerminalConsole(_unseen).ask(prompt)


def _unseen(prompt: str) -> str:
    """A line of which nothing is shown while it is typed."""
    from getpass import getpass

    try:
        return getpass(prompt, stream=sys.stderr)
    except UnicodeDecodeError:
        raise UsageError("The passphrase cannot be read as text on this terminal.") from None
