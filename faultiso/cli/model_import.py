"""``faultiso model from-fmea`` and ``from-matrix``: models from tables that a shop has."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import InvalidModel, UsageError
from faultiso.cli.errors import DONE

if TYPE_CHECKING:
    from faultiso.base.problems import Problem
    from faultiso.drafting.tables.fmea_model import Made

To = Annotated[Path, typer.Option("--to", metavar="FILE", help="The model to write, new, .yaml.")]
Json = Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")]
_DECIMALS = {"": "", "point": ".", "comma": ","}


def from_fmea(
    table: Annotated[
        Path, typer.Argument(metavar="TABLE", help="A failure-modes table (CSV).", show_default=False)
    ],
    to: To,
    rates_per: Annotated[
        str, typer.Option("--rates-per", metavar="HOURS", help="Rates are failures in so many hours.")
    ] = "",
    rate: Annotated[
        str, typer.Option("--rate", metavar="NUMBER", help="An hour, of modes for which none stands.")
    ] = "",
    decimal: Annotated[
        str, typer.Option("--decimal", help="What parts fractions: point or comma.", show_default=False)
    ] = "",
    json: Json = False,
) -> int:
    """A model from a failure-modes table with heads as in MIL-STD-1629A. Tells what is left out."""
    from faultiso.cli.figures import figure
    from faultiso.cli.model_places import new_file
    from faultiso.drafting.tables.fmea_model import model_of_modes
    from faultiso.drafting.tables.modes import read_modes
    from faultiso.drafting.tables.rates import Rates

    new_file(to)
    if decimal not in _DECIMALS:
        raise UsageError(f"--decimal is point or comma, not {decimal}.")
    hours = figure("--rates-per", rates_per, 1e-3, 1e12) if rates_per else 0.0
    missing = figure("--rate", rate, 0, 1) if rate else 0.0
    modes = read_modes(table, Rates(hours, missing, _DECIMALS[decimal]))
    return _written(table, model_of_modes(modes, to.stem), to, modes.problems, json)


def from_matrix(
    matrix: Annotated[
        Path, typer.Argument(metavar="MATRIX", help="A dependency matrix (CSV).", show_default=False)
    ],
    to: To,
    json: Json = False,
) -> int:
    """A model from a dependency matrix, such as chart plans and model export writes."""
    from faultiso.cli.model_places import new_file
    from faultiso.drafting.tables.matrix_model import model_of_matrix
    from faultiso.interchange.matrix import read_matrix

    new_file(to)
    return _written(matrix, model_of_matrix(read_matrix(matrix), matrix.name, to.stem), to, (), json)


def _written(table: Path, made: Made, to: Path, problems: tuple[Problem, ...], json: bool) -> int:
    """Write the model and its schema; show what was made, added and left out, and what is to be mended.

    What would be no valid model, such as one that is too large, is not written: InvalidModel.
    """
    from faultiso.cli.model_places import schema_beside, schema_name, tell, written_new
    from faultiso.cli.streams import show
    from faultiso.drafting.tables.draft import draft_text
    from faultiso.language.load import load_text
    from faultiso.report.json_output import document
    from faultiso.report.pages.model_made import made_page, made_record

    text = draft_text(made.draft, schema_name(to))
    loaded = load_text(text, str(to))
    if loaded.model is None:
        raise InvalidModel(loaded.errors)
    written_new(to, text)
    schema = schema_beside(to)
    if json:
        record = made_record(str(table), made.told, problems, loaded, str(to))
        sys.stdout.write(document(record, made.draft.subject))
    else:
        show(made_page(str(table), made.told, problems, loaded, str(to)))
    tell(f"Written: {to}. For your editor: {schema.name}", f"Next: faultiso model review {to}")
    return DONE
