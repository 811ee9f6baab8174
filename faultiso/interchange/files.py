"""Reading and writing files of foreign origin: bounded, and every mishap an error for the user."""

from __future__ import annotations

from pathlib import Path

from faultiso.base.problems import InvalidModel, Problem, UsageError, Where

#: A network of 10,000 variables is some 5 MB; nothing beyond this is a network for this purpose.
LARGEST = 64_000_000


def read_text(path: str | Path, what: str) -> str:
    """The text of a file. UsageError if it cannot be opened, InvalidModel if it is too large or no UTF-8."""
    path = Path(path)
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise UsageError(f"{path}: cannot be read ({reason}); expected {what}") from None
    if len(data) > LARGEST:
        raise invalid("file", path, f"larger than {LARGEST // 1_000_000} MB; expected {what}")
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        message = f"byte {error.start} is no UTF-8 text; expected {what}"
        raise invalid("file", path, message) from None


def write_text(path: str | Path, text: str) -> None:
    """Write UTF-8 with plain newlines. UsageError if that cannot be done."""
    try:
        Path(path).write_text(text, encoding="utf-8", newline="\n")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise UsageError(f"{path}: cannot be written ({reason})") from None


def invalid(code: str, path: str | Path, message: str) -> InvalidModel:
    """The error with one problem, about the file as a whole."""
    return InvalidModel((Problem(code, Where(str(path)), message),))
