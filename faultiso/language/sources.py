"""The files of a model: read within bounds, included files merged, one digest over all."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from faultiso.base.problems import Problem, Where
from faultiso.language.nodes import MAX_BYTES, ListNode, MapNode, Node, Refused, Word, parse

MAX_INCLUDES = 30
_PLAIN_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_. -]*\.ya?ml")


@dataclass
class Sources:
    """What has been read: texts by file name, what is wrong with them, and the SHA-256 over all.

    ``files``: those that were asked for, whether they could be read or not.

    ``what``: the word for what the main file should hold, for the messages. ``at_hand``: files in memory by
    their paths, parted by "/"; where there are such, nothing is read from a disk.
    """

    what: str = "model"
    at_hand: Mapping[str, bytes] | None = field(default=None, repr=False)
    texts: dict[str, str] = field(default_factory=dict)
    files: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    hasher: Any = field(default_factory=hashlib.sha256)

    def wrong(self, code: str, where: Where, message: str, nearest: str = "") -> None:
        self.problems.append(Problem(code, where, message, nearest))

    def content(self, path: Path, file: str) -> bytes:
        """The bytes of a file, at hand or on the disk; Refused if there is none."""
        self.files.append(file)
        if self.at_hand is None:
            return file_bytes(path, file, self.what)
        if path.as_posix() not in self.at_hand:
            raise Refused(Problem("file", Where(file), "there is no such file"))
        return self.at_hand[path.as_posix()]

    def tree(self, data: bytes, file: str) -> MapNode | None:
        """The tree of one file's bytes, which must be a mapping."""
        self.hasher.update(data)
        text = self.decoded(data, file)
        if text is None:
            return None
        self.texts[file] = text
        node = parse(text, file, self.problems, self.what)
        if node is not None and not isinstance(node, MapNode):
            message = f'a {self.what} begins with "{self.what}: name"; found something else'
            self.wrong("shape", node.where, message)
            return None
        return node

    def decoded(self, data: bytes, file: str) -> str | None:
        if len(data) > MAX_BYTES:
            self.wrong(
                "size",
                Where(file),
                f"the file is larger than {MAX_BYTES // 1_000_000} MB; expected a {self.what} in text",
            )
            return None
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = data.count(b"\n", 0, error.start) + 1
            column = (
                len(data[data.rfind(b"\n", 0, error.start) + 1 : error.start].decode("utf-8", "replace")) + 1
            )
            message = f"the byte 0x{data[error.start]:02X} is not UTF-8; save the file as UTF-8 in the editor"
            self.wrong("encoding", Where(file, line, column), message)
            return None


def file_bytes(path: Path, file: str, what: str = "model") -> bytes:
    """At most a little more than the allowed size; Refused if the file cannot be read."""
    try:
        if not path.is_file():
            raise Refused(Problem("file", Where(file), _not_a_file(path, what)))
        with path.open("rb") as stream:
            return stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not a file name"
        raise Refused(Problem("file", Where(file), f"the file cannot be read: {reason}")) from None


def _not_a_file(path: Path, what: str) -> str:
    return f"this is a folder; expected a {what} file" if path.is_dir() else "there is no such file"


def with_includes(root: MapNode, folder: Path | None, sources: Sources) -> list[MapNode]:
    """The trees of the main file and of the files it includes, main file first."""
    trees = [root]
    for name in _include_names(root.get("include"), sources):
        tree = _included(name, folder, sources)
        if tree is None:
            continue
        inner = next((key for key, _ in tree.entries if key == "include"), None)
        if inner is not None:
            sources.wrong(
                "include",
                inner.where,
                "an included file cannot include others; list them all in the main file",
            )
        trees.append(tree)
    return trees


def _include_names(node: Node | None, sources: Sources) -> list[Word]:
    names: list[Word] = []
    for item in _items(node):
        if not isinstance(item, Word) or not _PLAIN_NAME.fullmatch(item):
            message = "expected the plain name of a .yaml file that lies beside this one, without folders"
            sources.wrong("include", item.where, message)
        elif item in names:
            sources.wrong("include", item.where, f'"{item}" is included twice')
        else:
            names.append(item)
    for name in names[MAX_INCLUDES:]:
        sources.wrong("include", name.where, f"more than {MAX_INCLUDES} included files")
    return names[:MAX_INCLUDES]


def _items(node: Node | None) -> tuple[Node, ...]:
    if node is None:
        return ()
    return node.items if isinstance(node, ListNode) else (node,)


def _included(name: Word, folder: Path | None, sources: Sources) -> MapNode | None:
    if folder is None:
        sources.wrong("include", name.where, "a model that is not read from a file cannot include others")
        return None
    file = str(folder / name)
    if file in sources.texts:
        sources.wrong("include", name.where, "a file cannot include itself")
        return None
    try:
        return sources.tree(sources.content(folder / name, file), file)
    except Refused as refused:
        sources.wrong("include", name.where, f'"{name}": {refused.problem.message}')
        return None
