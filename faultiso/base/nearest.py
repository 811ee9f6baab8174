"""Names for people: the nearest valid one to a slip of the pen, and short lists of what was expected."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def nearest(word: str, names: Iterable[str]) -> str:
    """The valid name most like ``word``, or "" if none is like it; case, blanks and hyphens do not count."""
    from difflib import get_close_matches  # slips are rare: reading a right model does not wait for it

    known: dict[str, str] = {}
    for name in names:
        known.setdefault(plain(name), name)
    found = get_close_matches(plain(word[:80]), known, n=1, cutoff=0.6)
    return known[found[0]] if found else ""


def plain(word: str) -> str:
    """The word with nothing of what does not count in a name: case, blanks, hyphens."""
    return word.strip().casefold().replace(" ", "_").replace("-", "_")


def listed(names: Sequence[str], last: str = "or", limit: int = 8) -> str:
    """``a, b or c``; of more than ``limit`` names the first ones and how many there are."""
    if not names:
        return "nothing"
    if len(names) > limit:
        return f"{', '.join(names[: limit - 2])}, ... ({len(names)} in all)"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
