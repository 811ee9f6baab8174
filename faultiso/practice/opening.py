"""A case opened for practice: read with its model, and both kept, so that its log can be read for ever."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from faultiso.casebook.case import Case
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.model.system import Model
from faultiso.practice.terms import Terms
from faultiso.session.home import Home, keep


def opened(place: Home, path: Path, models: Models, terms: Terms) -> tuple[Case, Model, Terms]:
    """The case in a file, its model, and the terms with the names of the kept files.

    InvalidModel with everything that is wrong; HomeError if a copy cannot be kept.
    """
    case, model = read_case(path, models)
    files = [Path(file) for file in models.loaded(case.model, path.parent).texts]
    keep(place, model.digest, files)
    keep(place, case.digest, [path])
    return case, model, replace(terms, model_file=files[0].name, case_file=path.name)
