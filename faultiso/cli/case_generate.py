"""``faultiso case generate``: cases drawn by a seed."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.errors import DONE, NO
from faultiso.cli.figures import whole
from faultiso.cli.model import Json

if TYPE_CHECKING:
    from faultiso.casebook.case import Level
    from faultiso.casebook.making.generate import Count, Made, Maker, Wish

MOST = 500
_EVERY = 10  # tries after which a word is said, so that nobody waits in silence


def generate(
    model: Annotated[
        str, typer.Argument(metavar="MODEL", help="A model by name or path.", show_default=False)
    ],
    number: Annotated[str, typer.Option("--number", metavar="N", help="How many.")] = "1",
    difficulty: Annotated[
        str, typer.Option("--difficulty", help="easy, middling, hard or very hard (default: any).")
    ] = "",
    kinds: Annotated[
        list[str] | None,
        typer.Option("--kind", help="Of this kind, such as intermittent; may be given often."),
    ] = None,
    aims: Annotated[
        list[str] | None,
        typer.Option("--aim", help="With this aim, such as second_witness; may be given often."),
    ] = None,
    seed: Annotated[str, typer.Option("--seed", metavar="S", help="Another seed, other cases.")] = "0",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where to (else: your own cases).")
    ] = None,
    json: Json = False,
) -> int:
    """Draw cases by a seed and keep those that pass every check. Exit 1 if there are fewer than asked for."""
    from faultiso.casebook.making.generate import Count, Wish
    from faultiso.casebook.making.lessons import wanted_kinds
    from faultiso.casebook.shape import LARGEST_SEED

    kind = wanted_kinds(tuple(kinds or ()), tuple(aims or ()))
    many = whole("--number", number, 1, MOST)
    wish = Wish(many, _level(difficulty), kind, whole("--seed", seed, 0, LARGEST_SEED))
    maker, folder = _maker(model, out)
    count = Count()
    made = _written(maker, wish, count, folder)
    _told(made, wish, count, folder, json)
    return DONE if len(made) == many else NO


def _level(word: str) -> Level | None:
    """The level of that name; "very-hard" is one too."""
    from faultiso.base.nearest import listed, nearest
    from faultiso.casebook.case import LEVELS

    wanted = " ".join(word.replace("-", " ").replace("_", " ").casefold().split())
    found = next((level for level in LEVELS if level == wanted), None)
    if wanted and found is None:
        close = nearest(wanted, LEVELS)
        hint = f"; nearest: {close}" if close else ""
        raise UsageError(f'no difficulty is called "{word}"; expected {listed(LEVELS)}{hint}')
    return found


def _maker(named: str, out: Path | None) -> tuple[Maker, Path]:
    from faultiso.belief.reasoner import Reasoner
    from faultiso.casebook.making.generate import Maker
    from faultiso.cli.case_places import as_seen_from, folders, model_named, models

    folder = out or folders()[0]
    known = models()
    model = model_named(named, known)
    folder.mkdir(parents=True, exist_ok=True)  # a path to the model is followed from there
    return Maker(Reasoner(model), as_seen_from(named, folder), known, folder), folder


def _written(maker: Maker, wish: Wish, count: Count, folder: Path) -> list[Made]:
    """Every case as soon as it is found, so that nothing is lost if somebody stops it."""
    from faultiso.cli.case_places import write_new
    from faultiso.cli.streams import say

    def progress(found: int, tried: int) -> None:
        if tried and tried % _EVERY == 0 and tried > told[-1]:
            told.append(tried)
            say(f"{found} of {wish.number}, {tried} tried")

    told, made = [0], []
    for case in maker.make(wish, count, progress):
        write_new(folder / f"{case.name}.yaml", case.text)
        made.append(case)
    return made


def _told(made: list[Made], wish: Wish, count: Count, folder: Path, json: bool) -> None:
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.case_made import cases_made_page, cases_made_record

    if json:
        sys.stdout.write(document(cases_made_record(made, wish, count, str(folder))))
    else:
        show(cases_made_page(made, wish, count, str(folder)))
