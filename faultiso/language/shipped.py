"""The models that come with faultiso, by name."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError

PART = ".part.yaml"  # the ending of a file that is only there to be included


def shipped_models() -> dict[str, Path]:
    """Every shipped model by its name (the file's name without .yaml), in alphabetical order.

    They lie in the installed package; in a checkout, where nothing is installed, in the ``models`` folder
    at the top. Parts that models include are no models of their own.
    """
    found: dict[str, Path] = {}
    for folder in shipped_folders("models"):
        for path in sorted(folder.glob("*.yaml")):
            if not path.name.endswith(PART):
                found.setdefault(path.stem, path)
    return dict(sorted(found.items()))


def shipped_folders(kind: str) -> Iterator[Path]:
    """The folders that hold what is shipped of a kind ("models", "cases"), the installed one first."""
    package = Path(str(files("faultiso")))
    for folder in (package / "shipped" / kind, package.parent / kind):
        if folder.is_dir():
            yield folder


def find_model(name_or_path: str | Path) -> Path:
    """The file of that path if there is one, else the shipped model of that name; UsageError if neither."""
    path = Path(name_or_path)
    if _is_file(path):
        return path
    models = shipped_models()
    name = str(name_or_path)
    if name in models:
        return models[name]
    close = nearest(name.removesuffix(".yaml"), models)
    hint = f"; nearest: {close}" if close else ""
    raise UsageError(
        f'no model file and no shipped model is called "{name}"; shipped: {listed(list(models))}{hint}'
    )


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name that no file can have
        return False
