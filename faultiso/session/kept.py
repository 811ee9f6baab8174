"""The model that a session was begun with, from the kept copy, whatever has become of the shipped one."""

from __future__ import annotations

from faultiso.language.load import read_model
from faultiso.model.system import Model
from faultiso.session.home import Home, HomeError, Log, kept_folder


def kept_model(place: Home, log: Log) -> Model:
    """The model of a session. HomeError if its copy is missing or is not what it was."""
    digest = str(log.begun.get("digest", ""))
    folder = kept_folder(place, digest)
    path = folder / str(log.begun.get("file", ""))
    if not path.is_file():
        raise HomeError(f"{folder}: the copy of the model that this session was begun with is missing.")
    model = read_model(path)
    if model.digest != digest:
        raise HomeError(f"{folder}: the copy of the model was altered; the session cannot go on with it.")
    return model
