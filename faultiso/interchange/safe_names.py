"""Names that any network file can hold, and the way back.

Formats and programs differ in what a name may contain; pgmpy's writers replace what they do not like, or
leave it and cannot read it back. So everything but a-z, 0-9 and "_" is written as its code point between
"_x" and "_" (the mapping of SQL names to XML names, ISO/IEC 9075-14): ``pump.worn`` is ``pump_x2e_worn``.
Capitals are written so too, because readers differ in whether capitals count.
"""

from __future__ import annotations

import re

#: Words that mean something in BIF.
_KEYWORDS = frozenset(
    ("network", "variable", "probability", "property", "type", "discrete", "default", "table")
)
_UNSAFE = re.compile(r"_(?=x)|[^a-z0-9_]")
_CODED = re.compile(r"_x([0-9a-f]{0,6})_")


def safe(name: str) -> str:
    """The name in letters, digits and underscores; different names stay different."""
    if name[:1].isdigit() and name[:1].isascii():
        return _code(name[0]) + _plain(name[1:])
    return safe_state(name)


def safe_state(name: str) -> str:
    """The same for a state, which may begin with a digit: plain numbers are common there."""
    if name in _KEYWORDS:
        return _code(name[0]) + name[1:]
    return _plain(name) or "_x_"


def _plain(text: str) -> str:
    return _UNSAFE.sub(lambda found: _code(found[0]), text)


def unsafe(name: str) -> str:
    """The name that `safe` or `safe_state` was given; a name that neither made comes back as it is."""
    original = _CODED.sub(_decoded, name)
    return original if name in (safe(original), safe_state(original)) else name


def _code(character: str) -> str:
    return f"_x{ord(character):x}_"


def _decoded(found: re.Match[str]) -> str:
    if not found[1]:
        return ""
    number = int(found[1], 16)
    return chr(number) if number <= 0x10FFFF else found[0]
