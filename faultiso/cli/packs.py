"""What ``case seal`` writes, and ``case unseal`` tells and takes apart."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from faultiso.base.notice import full_notice
from faultiso.base.problems import UsageError
from faultiso.casebook.packs.header import About
from faultiso.casebook.packs.key import Key
from faultiso.casebook.packs.pack import Pack, SealedPack
from faultiso.casebook.packs.sealing import PROTECTS, PROTECTS_NOT, seal
from faultiso.report.counts import counted
from faultiso.report.page import Column, KeyValues, Page, Table, Text
from faultiso.session.home import write_bytes_whole

if TYPE_CHECKING:
    from faultiso.casebook.models import Models


def judge_target(out: Path) -> None:
    """UsageError where a file stands: neither case nor pack is to be lost to a slip of the pen."""
    if _is_there(out):
        raise UsageError(f"{out}: there is already a file of this name; nothing is written over it.")


def _is_there(out: Path) -> bool:
    try:
        return out.is_file()
    except (OSError, ValueError):  # a name that no file can have: writing says so
        return False


def written(paths: Sequence[Path], models: Models, about: About, key: Key, out: Path) -> Page:
    """Seal the cases into a file; what is told about it."""
    pack = seal(paths, models, about, key)
    write_bytes_whole(out, pack.data)
    pairs = (("written", str(out)), *_pairs(pack), ("each guess at the key", str(pack.header.cost)))
    return Page(
        "Sealed", blocks=(KeyValues(pairs), Text(PROTECTS, apart=True), Text(PROTECTS_NOT, apart=True))
    )


def _pairs(pack: SealedPack) -> list[tuple[str, str]]:
    header = pack.header
    notes = [("note", header.about.note)] if header.about.note else []
    return [("title", header.about.title), *notes, ("cases", str(header.cases)), ("digest", pack.digest[:16])]


def header_page(pack: SealedPack) -> Page:
    """What everybody may know of a pack."""
    return Page("A sealed pack", blocks=(KeyValues(tuple(_pairs(pack))),))


def pack_page(pack: Pack) -> Page:
    """The cases of an open pack, one row each."""
    columns = (Column("name"), Column("title"), Column("stage"), Column("system"))
    return Page(
        pack.sealed.header.about.title,
        blocks=(Table(columns, tuple(_row(pack, name) for name in pack.names)),),
    )


def _row(pack: Pack, name: str) -> tuple[str, ...]:
    loaded = pack.load(name)
    if loaded.case is None or loaded.model is None:
        return (name, "", "", "")
    return (name, loaded.case.title, loaded.case.stage, loaded.model.title)


def taken_apart(pack: Pack, folder: Path) -> str:
    """Write all files of a pack in the clear into a new folder; what is said about it."""
    try:
        folder.mkdir(parents=True)
        for name, content in {"NOTICE.txt": f"{full_notice()}\n".encode(), **pack.files}.items():
            target = folder.joinpath(*name.split("/"))
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not a folder name"
        raise UsageError(f"{folder}: the files cannot be written: {reason}; expected a new folder.") from None
    return f"Written in the clear: {counted(len(pack.files), 'file')} in {folder}"
