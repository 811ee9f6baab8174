"""What a session was begun with, from the kept copy: its model, or the pack of its case, still sealed."""

from __future__ import annotations

from faultiso.casebook.packs.pack import SealedPack, read_pack
from faultiso.language.load import read_model
from faultiso.model.system import Model
from faultiso.session.home import PACK, Home, HomeError, Log, kept_folder


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


def kept_pack(place: Home, log: Log) -> SealedPack:
    """The pack of a session's case, by the digest that the log calls ``pack``; its key must be given again.

    HomeError if its copy is missing or is not what it was.
    """
    digest = str(log.begun.get("pack", ""))
    folder = kept_folder(place, digest)
    if not (folder / PACK).is_file():
        raise HomeError(f"{folder}: the copy of the pack that this session was begun with is missing.")
    pack = read_pack(folder / PACK)
    if pack.digest != digest:
        raise HomeError(f"{folder}: the copy of the pack was altered; the session cannot go on with it.")
    return pack
