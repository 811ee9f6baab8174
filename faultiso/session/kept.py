"""Model and case that a session was begun with, from kept copies, whatever has become of the shipped ones."""

from __future__ import annotations

from faultiso.casebook.case import Case
from faultiso.casebook.load import read_case
from faultiso.casebook.models import OneModel
from faultiso.casebook.packs.key import Key
from faultiso.language.load import Loaded, read_model
from faultiso.model.system import Model
from faultiso.session.home import Home, HomeError, Log, kept_folder
from faultiso.session.kept_pack import kept_pack


def kept_case(place: Home, log: Log) -> tuple[Case, Model]:
    """The case of a practice, with its model. HomeError if a copy is missing or is not what it was."""
    model = kept_model(place, log)
    digest = str(log.begun.get("case_digest", ""))
    folder = kept_folder(place, digest)
    path = folder / str(log.begun.get("case_file", ""))
    if not path.is_file():
        raise HomeError(f"{folder}: the copy of the case that this session was begun with is missing.")
    case, model = read_case(path, OneModel(Loaded(model)))
    if case.digest != digest:
        raise HomeError(f"{folder}: the copy of the case was altered; the session cannot go on with it.")
    return case, model


def sealed_case(place: Home, log: Log, key: Key) -> tuple[Case, Model]:
    """The case of a practice from a sealed pack, opened again. PackError if the key does not open it."""
    sealed = kept_pack(place, log)
    loaded = sealed.opened(key).load(str(log.begun.get("case", "")))
    if loaded.case is None or loaded.model is None or loaded.case.digest != log.begun.get("case_digest"):
        raise HomeError(f"{sealed.called}: the pack holds another case than the one that was begun.")
    return loaded.case, loaded.model


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
