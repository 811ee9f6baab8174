"""Models and cases by their digests: from kept copies, from what is shipped, from packs; each read once.

A log names its model and case by digest, so it does not matter where a copy lies: it is the right one or it
is not. What only came along with a log is told as such, since whoever made the log may have made it too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from faultiso.assessment.beside import Beside, Files, FolderFiles
from faultiso.base.problems import FaultisoError
from faultiso.base.text import one_line
from faultiso.casebook.case import Case
from faultiso.casebook.load import load_case_bytes
from faultiso.casebook.models import OneModel
from faultiso.casebook.packs.envelope import read_envelope
from faultiso.casebook.packs.key import Key, PackError
from faultiso.casebook.packs.pack import Pack, SealedPack
from faultiso.casebook.stock import as_stocked
from faultiso.language.load import Loaded, load_files
from faultiso.language.shipped import shipped_folders
from faultiso.model.system import Model
from faultiso.session.home import PACK, Home, HomeError, home, kept_folder

_MOST_MODELS, _MOST_CASES, _MOST_PACKS = 64, 1_000, 4
Item = TypeVar("Item")


class NoCopy(FaultisoError):
    """Model or case of a log is not there. ``kind``: "no copy", "wrong copy" or "sealed"."""

    def __init__(self, kind: str, sentence: str) -> None:
        self.kind = kind
        super().__init__(sentence)


@dataclass(frozen=True)
class Held:
    """The case of a log with its model. ``brought``: a copy of one of them was found beside the log alone."""

    case: Case
    model: Model
    brought: bool


class Copies:
    """Finds model and case of a log. ``key`` opens packs; ``place``: the home folder, else the user's."""

    def __init__(self, key: Key | None = None, place: Home | None = None) -> None:
        self._key = key
        self._place = place or _home()
        self._models: dict[str, tuple[Model, bool]] = {}
        self._cases: dict[tuple[str, str], tuple[Case, bool]] = {}
        self._packs: dict[str, Pack | NoCopy] = {}

    def held(self, began: Mapping[str, Any], beside: Beside) -> Held:
        """What the first line of a log names; NoCopy if a copy is missing or is not what it was."""
        if began.get("pack"):
            return self._from_pack(began, beside)
        model, model_brought = self._model(began, beside)
        case, case_brought = self._case(began, beside, model)
        return Held(case, as_stocked(model, case), model_brought or case_brought)

    def _model(self, began: Mapping[str, Any], beside: Beside) -> tuple[Model, bool]:
        digest, file = _text(began, "digest"), _text(began, "file")
        known = self._models.get(digest)
        if known and (not known[1] or _brings(beside, digest, file)):
            return known
        there = False
        for files, kept, brought in self._shelves(digest, beside, "models"):
            if file in files:
                there = there or kept
                model = load_files(files, file, lint=False).model
                if model is not None and model.digest == digest:
                    return _stored(self._models, digest, (model, brought), _MOST_MODELS)
        raise _missing("model", _text(began, "model"), there)

    def _case(self, began: Mapping[str, Any], beside: Beside, model: Model) -> tuple[Case, bool]:
        digest, file = _text(began, "case_digest"), _text(began, "case_file")
        known = self._cases.get((digest, model.digest))
        if known and (not known[1] or _brings(beside, digest, file)):
            return known
        there = False
        for files, kept, brought in self._shelves(digest, beside, "cases"):
            if file in files:
                there = there or kept
                case = load_case_bytes(files[file], file, OneModel(Loaded(model))).case
                if case is not None and case.digest == digest:
                    return _stored(self._cases, (digest, model.digest), (case, brought), _MOST_CASES)
        raise _missing("case", _text(began, "case"), there)

    def _shelves(self, digest: str, beside: Beside, kind: str) -> Iterator[tuple[Files, bool, bool]]:
        """Folders to look in: their files, whether copies lie there by digest, whether they were brought."""
        name = _kept_name(digest)
        if self._place is not None:
            yield FolderFiles(self._place.kept / name), True, False
            yield FolderFiles(self._place.models if kind == "models" else self._place.cases), False, False
        for folder in shipped_folders(kind):
            yield FolderFiles(folder), False, False
        for files in beside.copies(name):
            yield files, True, True

    # sealed cases

    def _from_pack(self, began: Mapping[str, Any], beside: Beside) -> Held:
        """The key was given by the instructor: what it opens was not made by whoever wrote the log."""
        digest, name = _text(began, "pack"), _text(began, "case")
        pack = self._opened(digest, beside)
        at = (_text(began, "case_digest"), digest)
        try:
            loaded = pack.load(name)
        except FaultisoError as error:
            raise NoCopy("wrong copy", str(error)) from None
        if loaded.case is None or loaded.model is None or loaded.case.digest != at[0]:
            raise NoCopy("wrong copy", "the pack holds another case than the one that was begun.")
        case, _ = self._cases.get(at) or _stored(self._cases, at, (loaded.case, False), _MOST_CASES)
        return Held(case, loaded.model, False)

    def _opened(self, digest: str, beside: Beside) -> Pack:
        """A pack is opened once, and one that does not open is tried once: each try takes a while."""
        if self._key is None:
            raise NoCopy("sealed", "the case is in a sealed pack; its key is needed: --key-file FILE.")
        if digest not in self._packs:
            try:
                _stored(self._packs, digest, self._found(digest, beside).opened(self._key), _MOST_PACKS)
            except PackError as error:
                _stored(self._packs, digest, NoCopy("sealed", str(error)), _MOST_PACKS)
        found = self._packs[digest]
        if isinstance(found, NoCopy):
            raise NoCopy(found.kind, str(found))
        return found

    def _found(self, digest: str, beside: Beside) -> SealedPack:
        there = False
        for files, kept, _ in self._shelves(digest, beside, "packs"):
            if kept and PACK in files:
                there = True
                sealed = SealedPack(read_envelope(files[PACK], "the pack of this session"), "the pack")
                if sealed.digest == digest:
                    return sealed
        raise _missing("pack", "", there)


def _home() -> Home | None:
    try:
        return home()
    except HomeError:
        return None


def _kept_name(digest: str) -> str:
    return kept_folder(Home(Path()), digest).name


def _brings(beside: Beside, digest: str, file: str) -> bool:
    """Whether a log brings a copy itself: what others brought does not count, whichever log comes first."""
    return any(file in files for files in beside.copies(_kept_name(digest)))


def _text(began: Mapping[str, Any], name: str) -> str:
    found = began.get(name)
    return found if isinstance(found, str) else ""


def _stored(store: dict[Any, Any], at: Any, item: Item, most: int) -> Item:
    """Keep it, and let go of the oldest where there are too many."""
    while len(store) >= most:
        del store[next(iter(store))]
    store[at] = item
    return item


def _missing(what: str, name: str, there: bool) -> NoCopy:
    called = f'the {what} "{one_line(name, 60)}"' if name else f"the {what}"
    if there:
        return NoCopy("wrong copy", f"the copy of {called} is not the one that the session was begun with.")
    hint = "hand in the log with faultiso hand-in, which adds it"
    return NoCopy("no copy", f"{called} that the session was begun with is not there; {hint}.")
