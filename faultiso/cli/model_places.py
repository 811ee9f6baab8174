"""Where commands write new models: never over anything, and with the schema for the editor beside them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from faultiso.base.problems import UsageError

if TYPE_CHECKING:
    from faultiso.report.page import Page


def new_file(file: Path) -> None:
    """UsageError unless a new model can be written there."""
    if file.suffix != ".yaml" or not file.stem:
        raise UsageError(f"{file}: expected the name of a new file that ends in .yaml")
    try:
        file.lstat()
    except FileNotFoundError:
        if not file.parent.is_dir():
            raise UsageError(
                f"{file}: there is no folder {file.parent}; expected one that is there"
            ) from None
    except ValueError:
        raise UsageError(f"{file}: not a name that a file can have.") from None
    else:
        raise UsageError(f"{file}: there is already a file of this name; nothing is written over it.")


def written_new(file: Path, text: str) -> None:
    """Write a file that is not there yet, even if another program makes one meanwhile."""
    try:
        with file.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except FileExistsError:
        raise UsageError(
            f"{file}: there is already a file of this name; nothing is written over it."
        ) from None


def tell(*lines: str) -> None:
    """Narration after a file was written, as wide as the screen."""
    from faultiso.base.text import clean, wrap
    from faultiso.cli.streams import columns_of, say

    for line in lines:
        for part in wrap(clean(line), columns_of(sys.stderr), rest="  "):
            say(part)


def schema_name(file: Path) -> str:
    """The name of its file: one that an editor takes as it stands in a comment, whatever the model's is."""
    from faultiso.drafting.naming import identifier

    return f"{identifier(file.stem, 'model', '-')}.schema.json"


def schema_beside(file: Path) -> Path:
    """The JSON Schema for the editor, beside a model; one that is there already is left as it is."""
    from faultiso.language.schema import json_schema
    from faultiso.report.json_output import document

    schema = file.with_name(schema_name(file))
    if not schema.exists():
        written_new(schema, document(json_schema()))
    return schema


def checked_page(file: Path) -> Page:
    """What ``model check`` says of a file."""
    from faultiso.language.load import load
    from faultiso.report.pages.problems import problems_page

    loaded = load(file)
    return problems_page(str(file), loaded.model, loaded.problems, loaded.texts)
