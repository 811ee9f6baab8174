"""Where the commands on cases look and write: folders, models, one reasoner for cases of one model."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from faultiso.base.problems import InvalidModel, UsageError

if TYPE_CHECKING:
    from faultiso.belief.reasoner import Reasoner
    from faultiso.casebook.load import Loaded
    from faultiso.casebook.models import Models
    from faultiso.model.system import Model
    from faultiso.report.pages.case_check import Judged


def folders() -> tuple[Path, ...]:
    """Folders of cases besides the shipped ones."""
    from faultiso.session.home import home

    return (home().cases,)


def models() -> Models:
    """The models that cases are about: the user's, then the shipped ones."""
    from faultiso.casebook.models import Models
    from faultiso.session.home import home

    return Models((home().models,))


def model_named(named: str, known: Models) -> Model:
    """The model of that name or path; InvalidModel with what is wrong with it."""
    loaded = known.loaded(named, Path())
    if loaded.model is None:
        raise InvalidModel(loaded.errors)
    return loaded.model


def as_seen_from(named: str, folder: Path) -> str:
    """How a case in a folder calls a model: by its name, or by the path from there."""
    if not named.endswith((".yaml", ".yml")):
        return named
    path = Path(named).resolve()
    try:
        return Path(os.path.relpath(path, folder.resolve())).as_posix()
    except ValueError:  # on another drive
        return path.as_posix()


def write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet; UsageError if there is one that says something else."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists() and path.read_text(encoding="utf-8", errors="replace") != text:
            raise UsageError(f"{path}: there is already a file of this name; nothing is written over it.")
        path.write_text(text, encoding="utf-8", newline="\n")
    except ValueError:
        raise UsageError(f"{path}: not a name that a file can have.") from None


def judged_one(file: str, loaded: Loaded, reasoners: Reasoners, misreadings: bool = False) -> Judged:
    """All that is found of a case; ``misreadings``: also what its seed misreads, where it has a world."""
    from faultiso.casebook.checking import check_case
    from faultiso.report.pages.case_check import Judged

    if loaded.case is None or loaded.model is None:
        return Judged(file, loaded, loaded.problems)
    checked = check_case(loaded.case, loaded.model, reasoners.of(loaded.model))
    found = Judged(file, loaded, (*loaded.problems, *checked.problems), checked.findings)
    if not misreadings or not found.valid:
        return found
    from faultiso.casebook.misread import misread

    return replace(found, misread=misread(loaded.case, loaded.model))


class Reasoners:
    """The reasoner of the model that was last asked for: cases of one model share it."""

    def __init__(self) -> None:
        self._last: Reasoner | None = None

    def of(self, model: Model) -> Reasoner:
        from faultiso.belief.reasoner import Reasoner

        if self._last is None or self._last.model is not model:
            self._last = Reasoner(model)
        return self._last
