"""Cases as rows: what was seen in them, and what was truly wrong."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from faultiso.base.problems import UsageError
from faultiso.casebook.complaint import complaint, with_pins
from faultiso.casebook.library import files_in
from faultiso.casebook.load import load_case
from faultiso.casebook.models import Models
from faultiso.learning.rows import Counted, Evidence, Finding, Row
from faultiso.model.system import Model


@dataclass(frozen=True)
class Held:
    """``names`` of the cases in the order of the rows; ``others``: cases of the folder that are not used."""

    evidence: Evidence
    names: tuple[str, ...]
    others: tuple[str, ...]


def cases_held(folder: Path, model: Model, known: Models) -> Held:
    """The cases of a folder that are about this model. UsageError if there are none."""
    rows, names, others = [], [], []
    for path in files_in(folder):
        loaded = load_case(path, known)
        case = loaded.case
        if case is None or loaded.model is None or loaded.model.name != model.name or case.beyond_model:
            others.append(path.stem)
            continue
        told = complaint(case, model)
        timeline, pinned = with_pins(case, model, told)
        readings = (*told.readings, *(reading for pins in pinned for reading in pins))
        rows.append(Counted(Row(timeline, readings, Finding("proved", tuple(sorted(case.truth)))), 1))
        names.append(path.stem)
    if not rows:
        raise UsageError(f"{folder}: no case of this folder is about {model.name}")
    return Held(Evidence(tuple(rows), 0.0), tuple(names), tuple(others))
