"""The pack that a session's case came from: kept sealed, and opened with its key in every sitting."""

from __future__ import annotations

from faultiso.casebook.packs.pack import SealedPack, read_pack
from faultiso.session.home import PACK, Home, HomeError, Log, kept_folder


def kept_pack(place: Home, log: Log) -> SealedPack:
    """The pack whose digest the first line of the log calls ``pack``; its key must be asked for again.

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
