"""``faultiso isolate``: guided isolation of a fault from readings that a person types."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.cli.conversation import Loading, asked_at_once, converse

if TYPE_CHECKING:
    from faultiso.cli.console import Console

Answers = Annotated[
    Path | None, typer.Option("--answers", metavar="FILE", help="The lines to type, from a file.")
]
Json = Annotated[bool, typer.Option("--json", help="The work summary as one JSON document.")]


def isolate(
    model: Annotated[
        str,
        typer.Argument(
            metavar="MODEL",
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
    from faultiso.language.shipped import find_model

    console = open_console(answers)
    path = find_model(model or chosen_model(console))
    given = bool(observe or settings or others)
    loading = Loading(path)
    first = None if given or not console.interactive else asked_at_once(path, console, loading)
    loaded = loading.wait()
    from faultiso.session.home import home, keep, new_journal
    from faultiso.session.isolation import begin

    place = home()
    keep(place, loaded.digest, loading.files)
    with new_journal(place, loaded.name) as journal:
        session = begin(loaded, journal, candidate, path.name)
        if given:
            from faultiso.session.given import give

            give(session.desk, observe or (), settings or (), others)
        return converse(session, console, journal, json, first)


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
