"""From case files to the bytes of a sealed pack."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from faultiso.base.problems import InvalidModel, UsageError
from faultiso.casebook.case import Case
from faultiso.casebook.lints.giveaway import named_in
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.casebook.packs.contents import Contents, case_path, packed, unpacked
from faultiso.casebook.packs.envelope import read_envelope, sealed
from faultiso.casebook.packs.header import MOST_CASES, About
from faultiso.casebook.packs.key import Cost, Key
from faultiso.casebook.packs.pack import Pack, SealedPack
from faultiso.language.nodes import Refused
from faultiso.language.sources import file_bytes
from faultiso.model.system import Model

#: What sealing is good for and what not, as it is told to whoever seals.
PROTECTS = (
    "Sealed: without the key nobody reads the cases in this file, and no byte of it can be changed "
    "unnoticed. Title, note and number of cases can be read by everybody."
)
PROTECTS_NOT = (
    "What it does not do: whoever has the key has the truths, and a candidate who controls the machine on "
    "which a case is worked can in time obtain them. So examine on invigilated machines, type the key "
    "yourself, keep it apart from the file, and take another key for the next examination."
)


def seal(
    paths: Sequence[Path], models: Models, about: About, key: Key, cost: Cost | None = None
) -> SealedPack:
    """The cases in files with their models, sealed; what is in it was read back before it is given.

    InvalidModel if a case has an error; UsageError if there is none, two are called the same, title or note
    name what is faulty, a file changes meanwhile, or the key is too short.
    """
    if not 1 <= len(paths) <= MOST_CASES:
        raise UsageError(f"{len(paths)} cases were named; expected 1 to {MOST_CASES} for a pack.")
    chosen = tuple(_chosen(path, models) for path in paths)
    _judge_texts(chosen, about)
    content = packed(_contents(chosen))
    data = sealed(content, about, len(chosen), key, cost or Cost())
    made = SealedPack(read_envelope(data, "the new pack"), "the new pack")
    _judge_same(chosen, Pack(made, unpacked(content, made.called)))
    return made


@dataclass(frozen=True)
class _Chosen:
    """A case with its file, its model, and the files of the model, the main one first."""

    path: Path
    case: Case
    model: Model
    model_files: tuple[Path, ...]


def _chosen(path: Path, models: Models) -> _Chosen:
    case, model = read_case(path, models)
    texts = models.loaded(case.model, path.parent).texts
    return _Chosen(path, case, model, tuple(map(Path, texts)))


def _judge_texts(chosen: Iterable[_Chosen], about: About) -> None:
    """UsageError if what everybody can read names what is faulty in some case."""
    for one in chosen:
        for what, text in (("title", about.title), ("note", about.note)):
            name = named_in(text, one.model, one.case.truth)
            if name:
                message = f'names what is faulty in "{one.case.name}" ("{name}"), and everybody can read it'
                raise UsageError(f"The {what} of the pack {message}.")


def _contents(chosen: Iterable[_Chosen]) -> Contents:
    mains: dict[str, str] = {}
    files: dict[str, bytes] = {}
    for one in chosen:
        name = one.case.name
        if name in mains:
            raise UsageError(f'{one.path}: another case in this pack is called "{name}" too.')
        files[case_path(name)] = _bytes(one.path)
        folder = f"models/{one.model.digest[:16]}"
        files.update({f"{folder}/{file.name}": _bytes(file) for file in one.model_files})
        mains[name] = f"{folder}/{one.model_files[0].name}"
    return Contents(mains, files)


def _bytes(path: Path) -> bytes:
    try:
        return file_bytes(path, str(path))
    except Refused as refused:
        raise InvalidModel((refused.problem,)) from None


def _judge_same(chosen: Iterable[_Chosen], pack: Pack) -> None:
    """What was sealed must be what was judged."""
    for one in chosen:
        loaded = pack.load(one.case.name)
        found = (loaded.case and loaded.case.digest, loaded.model and loaded.model.digest)
        if found != (one.case.digest, one.model.digest):
            raise UsageError(f"{one.path}: the case or its model changed while it was being sealed.")
