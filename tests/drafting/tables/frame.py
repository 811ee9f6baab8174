"""Failure-modes tables for tests: written to a file and read."""

from __future__ import annotations

from pathlib import Path

from faultiso.base.problems import InvalidModel
from faultiso.drafting.tables.draft import draft_text
from faultiso.drafting.tables.fmea_model import Made, model_of_modes
from faultiso.drafting.tables.modes import Modes, read_modes
from faultiso.drafting.tables.rates import Rates
from faultiso.language.load import Loaded, load_text

HEAD = "item,failure mode,failure detection method,failure mode ratio,failure rate (per hour),severity class"


def table(folder: Path, text: str, rates: Rates | None = None) -> Modes:
    """The table in a text, read as a file."""
    file = folder / "shop.csv"
    file.write_bytes(text.encode("utf-8"))
    return read_modes(file, rates or Rates())


def refusals(folder: Path, text: str, rates: Rates | None = None) -> list[str]:
    """What is told of a table that is refused, without the folder."""
    try:
        table(folder, text, rates)
    except InvalidModel as error:
        return [str(problem).removeprefix(f"{folder}/") for problem in error.problems]
    return []


def made(folder: Path, text: str, rates: Rates | None = None) -> tuple[Made, Loaded]:
    """The model of a table, and as it is read again."""
    made = model_of_modes(table(folder, text, rates), "shop")
    return made, load_text(draft_text(made.draft, "shop.schema.json"))
