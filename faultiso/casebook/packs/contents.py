"""What is in a pack: a zip file with cases, models, and a list of which case is about which model."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field

from faultiso.base.archive import Limits, is_plain_name, read_archive, zip_of
from faultiso.casebook.packs.key import PackError

LIST = "contents.json"
LIMITS = Limits(files=2_000, unpacked=64_000_000, packed=64_000_000)


@dataclass(frozen=True, slots=True)
class Contents:
    """``models``: case -> the main file of its model; ``files``: path in the pack -> bytes."""

    models: Mapping[str, str] = field(repr=False)
    files: Mapping[str, bytes] = field(repr=False)


def case_path(name: str) -> str:
    """Where a case lies in a pack."""
    return f"cases/{name}.yaml"


def packed(contents: Contents) -> bytes:
    """The contents as a zip file."""
    listed = json.dumps({"cases": dict(contents.models)}, ensure_ascii=True, indent=1).encode("ascii")
    return zip_of({LIST: listed, **contents.files})


def unpacked(data: bytes, called: str) -> Contents:
    """The contents of a zip file, in memory; ArchiveError or PackError if it is not as we make them."""
    files = read_archive(data, called, LIMITS)
    try:
        models = json.loads(files.pop(LIST))["cases"]
        if not _is_table(models):
            raise ValueError
    except (KeyError, TypeError, ValueError, RecursionError):
        raise PackError(f"{called}: the list of what is in the pack cannot be read.") from None
    if any(case_path(name) not in files or main not in files for name, main in models.items()):
        raise PackError(f"{called}: a file is missing from the pack.")
    return Contents(models, files)


def _is_table(models: object) -> bool:
    return (
        isinstance(models, dict)
        and bool(models)
        and all(is_plain_name(name) and isinstance(main, str) for name, main in models.items())
    )
