"""The bytes of a pack: a line with the version of its form, a header in the clear, what is sealed, checksum.

What is sealed is XChaCha20-Poly1305 under a secret that Argon2id makes of the key. Version and header are
authenticated together with it, so that none of them can be changed without the key. It is filled up to whole
blocks, so that its length tells little. The checksum at the end is SHA-256 of all before it; whoever changes
a file can make it anew, but with it a file that suffered on its way is told from a wrong key.
"""

from __future__ import annotations

import hashlib
import os
import re
from dataclasses import dataclass, field

from faultiso.base.text import one_line
from faultiso.casebook.packs.header import About, Header, header_line, read_header, this_version
from faultiso.casebook.packs.key import SALT_LENGTH, Cost, Key, PackError, judge_new, secret_of

FORM = 1
LARGEST = 64_000_000
BEGINS = b"faultiso-pack "
_FIRST_LINE = re.compile(rb"faultiso-pack ([0-9]{1,6})\n")
_LONGEST_HEADER = 32_768
_BLOCK = 65_536
_AROUND = 24 + 16  # bytes of the nonce and of the tag
_CHECKSUM = 32


@dataclass(frozen=True, slots=True)
class Envelope:
    """A pack that is not open: its header, all its bytes, and where among them the sealed ones begin."""

    header: Header
    data: bytes = field(repr=False)
    begins: int

    @property
    def digest(self) -> str:
        """SHA-256 of the whole file."""
        return hashlib.sha256(self.data).hexdigest()


def sealed(content: bytes, about: About, cases: int, key: Key, cost: Cost) -> bytes:
    """The bytes of a pack; UsageError if the key is too short, PackError if there would be too many."""
    from nacl.bindings import sodium_pad
    from nacl.secret import Aead

    judge_new(key)
    filled = sodium_pad(content, _BLOCK)
    header = Header(about, cases, this_version(), cost, os.urandom(SALT_LENGTH), len(filled) + _AROUND)
    first = BEGINS + b"%d\n" % FORM + header_line(header) + b"\n"
    data = first + bytes(Aead(secret_of(key, header.salt, cost)).encrypt(filled, first))
    if len(data) + _CHECKSUM > LARGEST:
        raise PackError(
            f"The pack would be larger than {LARGEST // 1_000_000} MB; put the cases into several."
        )
    return data + hashlib.sha256(data).digest()


def read_envelope(data: bytes, called: str) -> Envelope:
    """A pack that is not open, of its bytes; PackError if they are not one, or not as they were made."""
    found = _FIRST_LINE.match(data)
    if len(data) > LARGEST:
        raise PackError(f"{called}: larger than {LARGEST // 1_000_000} MB; expected a pack of cases.")
    if found is None:
        raise PackError(f"{called}: this is not a pack; expected a file that faultiso case seal wrote.")
    if int(found[1]) != FORM:
        form = one_line(found[1].decode("ascii"))
        raise PackError(f"{called}: this pack has form {form}; this faultiso knows form {FORM} only.")
    ends = data.find(b"\n", found.end(), found.end() + _LONGEST_HEADER)
    header = read_header(data[found.end() : max(ends, found.end())], called)
    envelope = Envelope(header, data, ends + 1)
    _judge_whole(envelope, called)
    return envelope


def _judge_whole(envelope: Envelope, called: str) -> None:
    expected = envelope.begins + envelope.header.size + _CHECKSUM
    if len(envelope.data) != expected:
        state = "cut short" if len(envelope.data) < expected else "followed by something else"
        found = f"{len(envelope.data):,} bytes; expected {expected:,}"
        raise PackError(f"{called}: the pack is {state}: {found}. Fetch it once more.")
    if hashlib.sha256(envelope.data[:-_CHECKSUM]).digest() != envelope.data[-_CHECKSUM:]:
        raise PackError(f"{called}: the pack is damaged: its checksum is another. Fetch it once more.")


def content_of(envelope: Envelope, key: Key, called: str) -> bytes:
    """What is sealed; PackError if the key does not open it."""
    from nacl.bindings import sodium_unpad
    from nacl.exceptions import CryptoError
    from nacl.secret import Aead

    header = envelope.header
    first, locked = envelope.data[: envelope.begins], envelope.data[envelope.begins : -_CHECKSUM]
    secret = secret_of(key, header.salt, header.cost)
    try:
        return sodium_unpad(Aead(secret).decrypt(locked, first), _BLOCK)
    except (CryptoError, ValueError):
        message = "does not open: the key is another one, or somebody changed the file."
        raise PackError(f"{called}: the pack {message}") from None
