"""The models that cases are about, each read once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from faultiso.language.load import Loaded, load
from faultiso.language.shipped import find_model


class Models:
    """Finds and keeps models; ``folders`` are looked in before the shipped ones."""

    def __init__(self, folders: Sequence[Path] = ()) -> None:
        self._folders = tuple(folders)
        self._read: dict[Path, Loaded] = {}

    def loaded(self, named: str, beside: Path) -> Loaded:
        """The model of that name, or of that path from the folder ``beside``; UsageError if there is none."""
        path = self._path(named, beside)
        if path not in self._read:
            self._read[path] = load(path, lint=False)
        return self._read[path]

    def _path(self, named: str, beside: Path) -> Path:
        if named.endswith((".yaml", ".yml")):
            return find_model(beside / named)
        for folder in self._folders:
            path = folder / f"{named}.yaml"
            if _is_file(path):
                return path
        return find_model(named)


class OneModel(Models):
    """The model of a case in memory, by whatever name the case calls it: nothing is looked for."""

    def __init__(self, model: Loaded) -> None:
        super().__init__()
        self._model = model

    def loaded(self, named: str, beside: Path) -> Loaded:
        return self._model


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name that no file can have
        return False
