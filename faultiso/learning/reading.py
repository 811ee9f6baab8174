"""A history file, read within bounds."""

from __future__ import annotations

from pathlib import Path

from faultiso.base.bounded import read_bounded
from faultiso.base.columns import in_columns
from faultiso.base.problems import InvalidModel, Problem, Where
from faultiso.base.sheets import decoded, read_sheet
from faultiso.learning.gathered import Gathered
from faultiso.learning.pieces import CELLS, Pieces
from faultiso.learning.wording import COLUMNS, HEADS

LARGEST = 400_000_000  # bytes


def read_history(path: Path) -> Gathered:
    """The rows of a history. UsageError if the file cannot be read, InvalidModel if it is no such file."""
    data = read_bounded(path, LARGEST, "history")
    if len(data) > LARGEST:
        message = f"larger than {LARGEST // 1_000_000} MB; part it by years, say"
        raise InvalidModel((Problem("sheet", Where(str(path)), message),))
    gathered = Gathered(str(path))
    if len(data) <= CELLS.size and data.count(b"\n") + data.count(b"\r") <= CELLS.rows:
        gathered.take(in_columns(read_sheet(path, "history", ",".join(HEADS), CELLS), COLUMNS))
        return gathered
    text, latin = decoded(data)
    del data
    if latin:
        message = "this is not UTF-8 and is read as Windows-1252; see that letters with accents are right"
        gathered.wrong(Problem("encoding", Where(gathered.file), message, severity="warning"))
    Pieces(gathered, text.split("\n")).read()
    return gathered
