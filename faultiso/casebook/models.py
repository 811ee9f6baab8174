"""The models that cases are about, each read once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from faultiso.casebook.library import model_file
from faultiso.language.load import Loaded, load


class Models:
    """Finds and keeps models; ``folders`` are looked in before the shipped ones."""

    def __init__(self, folders: Sequence[Path] = ()) -> None:
        self._folders = tuple(folders)
        self._read: dict[Path, Loaded] = {}

    def loaded(self, named: str, beside: Path) -> Loaded:
        """The model of that name, or of that path from the folder ``beside``; UsageError if there is none."""
        path = model_file(named, beside, self._folders)
        if path not in self._read:
            self._read[path] = load(path, lint=False)
        return self._read[path]


class OneModel(Models):
    """The model of a case in memory, by whatever name the case calls it: nothing is looked for."""

    def __init__(self, model: Loaded) -> None:
        super().__init__()
        self._model = model

    def loaded(self, named: str, beside: Path) -> Loaded:
        return self._model
