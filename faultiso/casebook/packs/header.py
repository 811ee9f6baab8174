"""What stands in the clear at the beginning of a pack: everybody can read it, nobody change it unnoticed."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any

from faultiso import __version__
from faultiso.base.notice import full_notice
from faultiso.base.text import clean, one_line
from faultiso.casebook.packs.key import SALT_LENGTH, Cost, PackError

LONGEST_TITLE, LONGEST_NOTE, MOST_CASES = 100, 2_000, 300
_VERSION = re.compile(r"[0-9]{1,4}(\.[0-9]{1,4}){0,2}")
_METHOD = "argon2id, xchacha20-poly1305"


@dataclass(frozen=True, slots=True)
class About:
    """What the instructor says of a pack to everybody, cleaned: a title, and a note such as date and room."""

    title: str
    note: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "title", one_line(self.title, LONGEST_TITLE))
        object.__setattr__(self, "note", clean(self.note, LONGEST_NOTE).strip())


@dataclass(frozen=True, slots=True)
class Header:
    """``cases``: how many; ``needs``: the oldest faultiso that opens it; ``size``: bytes that are sealed."""

    about: About
    cases: int
    needs: str
    cost: Cost
    salt: bytes
    size: int


def this_version() -> str:
    """The version of this faultiso, numbers alone."""
    found = _VERSION.match(__version__)
    return found[0] if found else "0"


def header_line(header: Header) -> bytes:
    """The header as one line of ASCII, without its end."""
    record = {
        "notice": full_notice(),
        "title": header.about.title,
        "note": header.about.note,
        "cases": header.cases,
        "needs": header.needs,
        "method": _METHOD,
        "passes": header.cost.passes,
        "memory": header.cost.memory,
        "salt": header.salt.hex(),
        "size": header.size,
    }
    return json.dumps(record, ensure_ascii=True).encode("ascii")


def read_header(line: bytes, called: str) -> Header:
    """The header of a line; PackError if it is none, or asks for what this faultiso does not have."""
    record = _record(line, called)
    try:
        header = Header(
            About(_text(record["title"]), _text(record["note"])),
            _number(record["cases"]),
            _text(record["needs"]),
            Cost(_number(record["passes"]), _number(record["memory"])),
            bytes.fromhex(_text(record["salt"])),
            _number(record["size"]),
        )
    except (KeyError, ValueError):
        raise _damaged(called) from None
    _judge(header, record.get("method"), called)
    return header


def _record(line: bytes, called: str) -> dict[str, Any]:
    try:
        record = json.loads(line)
    except (ValueError, RecursionError):
        raise _damaged(called) from None
    if not isinstance(record, dict):
        raise _damaged(called)
    return record


def _text(found: object) -> str:
    if not isinstance(found, str):
        raise ValueError
    return found


def _number(found: object) -> int:
    if type(found) is not int or found < 0:
        raise ValueError
    return found


def _judge(header: Header, method: object, called: str) -> None:
    if not _VERSION.fullmatch(header.needs) or not 1 <= header.cases <= MOST_CASES:
        raise _damaged(called)
    if _numbers(header.needs) > _numbers(this_version()):
        message = f"needs faultiso {header.needs} or later; this is {this_version()}"
        raise PackError(f"{called}: this pack {message}.")
    if method != _METHOD or len(header.salt) != SALT_LENGTH or not header.cost.is_usual:
        raise PackError(f"{called}: this pack is locked in an unusual way; expected one made by faultiso.")


def _numbers(version: str) -> list[int]:
    return [int(number) for number in (*version.split("."), "0", "0")][:3]


def _damaged(called: str) -> PackError:
    return PackError(f"{called}: the beginning of this pack cannot be read: it is damaged, or was changed.")
