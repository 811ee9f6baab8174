"""The cases there are: those that come with faultiso, and those in folders of the user."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError
from faultiso.language.shipped import find_model, shipped_folders


def case_files(folders: Sequence[Path] = ()) -> dict[str, Path]:
    """Every case by its name (the file's name without .yaml), in alphabetical order.

    ``folders`` come first: a case there hides a shipped one of the same name.
    """
    found: dict[str, Path] = {}
    for folder in (*folders, *shipped_folders("cases")):
        for path in files_in(folder):
            found.setdefault(path.stem, path)
    return dict(sorted(found.items()))


def files_in(folder: Path) -> list[Path]:
    """The case files of a folder, none if there is no such folder."""
    return sorted(folder.glob("*.yaml")) if folder.is_dir() else []


def find_case(named: str | Path, folders: Sequence[Path] = ()) -> Path:
    """The file of that path if there is one, else the case of that name; UsageError if neither."""
    if _is_file(Path(named)):
        return Path(named)
    cases = case_files(folders)
    name = str(named).removesuffix(".yaml")
    if name in cases:
        return cases[name]
    raise UsageError(f'no case file and no case is called "{named}"; {_known(name, cases)}')


def model_file(named: str, beside: Path, folders: Sequence[Path] = ()) -> Path:
    """The file of the model of that name, or of that path from the folder ``beside``; UsageError if none.

    ``folders`` are looked in before the shipped ones.
    """
    if named.endswith((".yaml", ".yml")):
        return find_model(beside / named)
    own = (folder / f"{named}.yaml" for folder in folders)
    return next((path for path in own if _is_file(path)), None) or find_model(named)


def _known(name: str, cases: Iterable[str]) -> str:
    names = list(cases)
    close = nearest(name, names)
    return f"there are {listed(names, 'and')}" + (f"; nearest: {close}" if close else "")


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name that no file can have
        return False
