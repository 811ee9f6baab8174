"""A pack that was opened, in memory only: nothing in it is ever written to a disk in the clear."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from faultiso.base.bounded import read_bounded
from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError
from faultiso.base.text import one_line
from faultiso.casebook.load import Loaded, load_case_bytes
from faultiso.casebook.models import OneModel
from faultiso.casebook.packs.contents import Contents, case_path, unpacked
from faultiso.casebook.packs.envelope import LARGEST, Envelope, content_of, read_envelope
from faultiso.casebook.packs.header import Header
from faultiso.casebook.packs.key import Key, PackError
from faultiso.language.load import Loaded as LoadedModel
from faultiso.language.load import load_files


class SealedPack:
    """A pack of which only the header is known. ``called`` is its file's name, for messages."""

    def __init__(self, envelope: Envelope, called: str) -> None:
        self._envelope = envelope
        self.called = called

    @property
    def header(self) -> Header:
        return self._envelope.header

    @property
    def digest(self) -> str:
        """SHA-256 of the whole file, by which a session knows its pack."""
        return self._envelope.digest

    @property
    def data(self) -> bytes:
        """The bytes of the file, sealed as they are."""
        return self._envelope.data

    def opened(self, key: Key) -> Pack:
        """PackError if the key does not open it, or what is in it is not as faultiso makes it."""
        contents = unpacked(content_of(self._envelope, key, self.called), self.called)
        if len(contents.models) != self.header.cases:
            raise PackError(f"{self.called}: the pack holds another number of cases than it says.")
        return Pack(self, contents)

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.called!r}, {self.header.cases} cases)"


class Pack:
    """An open pack: ``names`` of its cases, and each of them by ``load``. Its ``repr`` gives nothing away."""

    def __init__(self, sealed: SealedPack, contents: Contents) -> None:
        self.sealed = sealed
        self._contents = contents
        self._model = cache(self._loaded_model)

    @property
    def names(self) -> tuple[str, ...]:
        """The cases, in the order in which they were sealed."""
        return tuple(self._contents.models)

    @property
    def files(self) -> Mapping[str, bytes]:
        """All files in the clear by their paths: for the instructor who takes a pack apart."""
        return self._contents.files

    def load(self, name: str) -> Loaded:
        """The case of that name with its model, and nothing else that would tell of its truth.

        UsageError if there is none. PackError if this faultiso finds a mistake in it; which one, only the
        instructor is told, by ``faultiso case check`` of the case itself.
        """
        if name not in self._contents.models:
            raise UsageError(self._unknown(name))
        model = self._model(self._contents.models[name])
        data = self._contents.files[case_path(name)]
        loaded = load_case_bytes(data, case_path(name), OneModel(model))
        if loaded.case is None or loaded.model is None:
            message = f'the case "{one_line(name, 60)}" in this pack cannot be used: ask whoever sealed it.'
            raise PackError(f"{self.sealed.called}: {message}")
        return Loaded(loaded.case, model=loaded.model)

    def _loaded_model(self, main: str) -> LoadedModel:
        return load_files(self._contents.files, main, lint=False)

    def _unknown(self, name: str) -> str:
        close = nearest(name, self.names)
        hint = f"; nearest: {close}" if close else ""
        known = listed(self.names, "and")
        return f'no case in this pack is called "{one_line(name, 60)}"; there are {known}{hint}'

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.sealed.called!r}, {len(self.names)} cases)"


def read_pack(path: Path) -> SealedPack:
    """The pack in a file, not opened: title, note and number of cases are known.

    UsageError if the file cannot be read, PackError if it is no pack or a damaged one.
    """
    data = read_bounded(path, LARGEST, "pack")
    return SealedPack(read_envelope(data, str(path)), str(path))


def open_pack(path: Path, key: Key) -> Pack:
    """The pack in a file, opened in memory; errors as of ``read_pack``, PackError for another key too."""
    return read_pack(path).opened(key)
