"""What ``model export`` writes, and where."""

from __future__ import annotations

from pathlib import Path

from faultiso.base.problems import UsageError
from faultiso.interchange.export import NETWORKS, export, text_of
from faultiso.interchange.files import write_text
from faultiso.interchange.graphs import Which
from faultiso.model.system import Model

MATRIX, FMEA = "matrix", "fmea"
_GRAPHS: dict[str, Which] = {"causes": "causes", "flow": "flow"}


def text_in(model: Model, kind: str, graph: str, situation: str) -> str:
    """The text for standard output; a network format goes to files only, since it may be several."""
    if kind in (MATRIX, FMEA):
        return _table(model, kind, situation)
    if kind in NETWORKS:
        raise UsageError(f"{kind} is written to a file: add --out FILE.")
    return text_of(model, kind, _which(graph))


def written_to(model: Model, kind: str, out: Path, graph: str, situation: str) -> tuple[Path, ...]:
    """Write the model to ``out``, as a network in the situation if the format holds one; the paths."""
    if kind in (MATRIX, FMEA):
        write_text(out, _table(model, kind, situation))
        return (out,)
    if kind not in NETWORKS:
        return export(model, kind, out, graph=_which(graph))
    from faultiso.belief.observed import conditions_of
    from faultiso.network.whole import whole_network

    return export(model, kind, out, whole_network(model, conditions_of(model, {}, situation)))


def _table(model: Model, kind: str, situation: str) -> str:
    return _matrix(model, situation) if kind == MATRIX else _fmea(model)


def _fmea(model: Model) -> str:
    """What `faultiso model from-fmea` reads."""
    from faultiso.cli.streams import counting
    from faultiso.drafting.tables.fmea_table import HEADS, fmea_rows
    from faultiso.report.csv_safe import csv_text

    with counting("{0} situations worked out") as tell:
        rows = fmea_rows(model, lambda done, of: tell(done))
    return csv_text(HEADS, rows, model.subject)


def _matrix(model: Model, situation: str) -> str:
    """What `faultiso chart MATRIX.csv` plans."""
    from faultiso.belief.reasoner import Reasoner
    from faultiso.interchange.matrix import matrix_text
    from faultiso.planning.dependency import dependency_matrix

    return matrix_text(dependency_matrix(Reasoner(model).believe(situation=situation)))


def _which(graph: str) -> Which:
    if graph not in _GRAPHS:
        raise UsageError(f"--graph is causes or flow, not {graph}.")
    return _GRAPHS[graph]
