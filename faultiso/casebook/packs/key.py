"""The key of a pack: a passphrase or the content of a file, made into a secret at a stated cost."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from pathlib import Path

from faultiso.base.bounded import read_bounded
from faultiso.base.problems import FaultisoError, UsageError

SALT_LENGTH = 16
SHORTEST = 12  # characters of a new key
LONGEST = 65_536  # bytes
_MEGABYTE = 1 << 20
_LEAST_MEMORY, _MOST_MEMORY, _MOST_PASSES = 8_192, 1_024 * _MEGABYTE, 10


class PackError(FaultisoError):
    """A pack that is not read, opened or made; the text says which, why and what to do."""


@dataclass(frozen=True, slots=True)
class Key:
    """What a pack is opened with. It is never shown, not even in a traceback."""

    secret: bytes = field(repr=False)


def key_of(passphrase: str) -> Key:
    """The key of a passphrase: blanks at its ends do not count, nor how accents are put together."""
    return _judged(
        unicodedata.normalize("NFC", passphrase.strip()).encode("utf-8", "replace"), "The passphrase"
    )


def key_in(file: Path) -> Key:
    """The key in a file: a passphrase in UTF-8, the same as if it were typed, or else its very bytes."""
    content = read_bounded(file, LONGEST, "key")
    try:
        return key_of(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return _judged(content, str(file))


def _judged(secret: bytes, what: str) -> Key:
    if not secret:
        raise UsageError(f"{what} is empty; expected a key.")
    if len(secret) > LONGEST:
        raise UsageError(f"{what} is longer than {LONGEST:,} bytes; expected a key.")
    return Key(secret)


def judge_new(key: Key) -> None:
    """UsageError if the key is too short to seal with."""
    length = len(key.secret.decode("utf-8", "replace"))
    if length < SHORTEST:
        raise UsageError(f"The key has {length} characters; expected at least {SHORTEST}, say four words.")


@dataclass(frozen=True, slots=True)
class Cost:
    """What each guess at a key costs: ``passes`` of Argon2id (RFC 9106) over ``memory`` bytes."""

    passes: int = 3
    memory: int = 256 * _MEGABYTE

    @property
    def is_usual(self) -> bool:
        """Whether it is a cost that we are willing to pay, before anything else is known of a pack."""
        return 1 <= self.passes <= _MOST_PASSES and _LEAST_MEMORY <= self.memory <= _MOST_MEMORY

    def __str__(self) -> str:
        return f"Argon2id, {self.passes} passes over {self.memory / _MEGABYTE:.0f} MB"


def secret_of(key: Key, salt: bytes, cost: Cost) -> bytes:
    """32 bytes by Argon2id (RFC 9106) in one lane. PackError if there is not the memory for it."""
    from nacl.exceptions import CryptoError
    from nacl.pwhash import argon2id

    try:
        return argon2id.kdf(32, key.secret, salt, opslimit=cost.passes, memlimit=cost.memory)
    except (CryptoError, MemoryError):
        message = (
            f"this machine has not the {cost.memory // _MEGABYTE} MB that making the key of a pack takes."
        )
        raise PackError(message) from None
