"""``faultiso case from-workorder``: a draft of a case, without what identifies anybody."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.errors import DONE

if TYPE_CHECKING:
    from faultiso.casebook.making.workorder import Order
    from faultiso.model.system import Model

_LARGEST = 200_000  # bytes of a work order
_LONGEST = 3_900  # characters of a text in a case


def from_workorder(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The work order, as text.", show_default=False)
    ],
    model: Annotated[
        str, typer.Option("--model", metavar="MODEL", help="The model that the case is about.")
    ] = "",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where to (else: among your own cases).")
    ] = None,
    remove: Annotated[
        list[str] | None,
        typer.Option(
            "--remove", metavar="WORDS", help="Words to take out too, with commas; may be given often."
        ),
    ] = None,
) -> int:
    """Begin a case with the text of a work order, made anonymous as far as patterns can."""
    from faultiso.casebook.making.workorder import read_order
    from faultiso.cli.case_places import model_named, models
    from faultiso.cli.streams import say, show
    from faultiso.report.pages.case_made import order_page

    if not model:
        raise UsageError("--model is needed: the name or path of the model that the case is about")
    found = model_named(model, models())
    words = tuple(word.strip() for part in remove or () for word in part.split(","))
    order = read_order(_text(file), found, words)
    path = _draft(order, found, model, out)
    show(order_page(order, found.subject), sys.stderr)
    say(f"Written, as a draft that is to be finished: {path}")
    return DONE


def _text(file: Path) -> str:
    try:
        if file.stat().st_size > _LARGEST:
            raise UsageError(f"{file}: expected a text of at most {_LARGEST:,} bytes.")
        text = file.read_text(encoding="utf-8-sig", errors="replace")
    except ValueError:
        raise UsageError(f"{file}: not a name that a file can have.") from None
    if not text.strip() or "\0" in text:
        raise UsageError(f"{file}: there is no text in it.")
    return text


def _draft(order: Order, model: Model, named: str, out: Path | None) -> Path:
    """Write what is known of the case; what is not stands in the file as comments."""
    from faultiso.casebook.making.written import case_text
    from faultiso.cli.case_places import as_seen_from, folders, write_new
    from faultiso.session.home import safe_name

    path = out or _free(folders()[0])
    values: dict[str, Any] = {
        "case": safe_name(path.stem),
        "model": as_seen_from(named, path.parent),
        "write_up": order.seen[:_LONGEST],
        "notes": f"What was done, to be worked into a good solution: {order.done[:_LONGEST]}"
        if order.done
        else "",
        "state": "draft",
        "version": "0.1",
    }
    write_new(path, case_text(values, model.subject, missing=True))
    return path


def _free(folder: Path) -> Path:
    """A name that says nothing: that of the work order might."""
    numbers = range(1, 10_000)
    return next(path for n in numbers if not (path := folder / f"from-workorder-{n}.yaml").exists())
