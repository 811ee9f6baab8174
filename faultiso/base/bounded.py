"""Files of unknown size and origin, read no further than they may be long."""

from __future__ import annotations

from pathlib import Path

from faultiso.base.problems import UsageError


def read_bounded(path: Path, most: int, what: str) -> bytes:
    """The bytes of a file, at most one more than ``most``: who asks refuses what is longer.

    UsageError, which calls the file the ``what`` that it should be, if it cannot be read.
    """
    try:
        with path.open("rb") as stream:
            return stream.read(most + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not a file name"
        raise UsageError(f"{path}: the {what} cannot be read: {reason}.") from None
