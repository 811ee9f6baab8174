"""A case that is called otherwise than its file: it is known by the one and found by the other."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """A case in a file, of another name than that of the file."""
    file = Path(case.file)
    if file.suffix == ".yaml" and file.stem != case.name:
        message = f'the case is called "{case.name}", its file "{file.name}"; expected the same name'
        yield Problem("file_name", case.place("case"), message, file.stem)
