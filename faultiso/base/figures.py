"""Minutes and chances as people read them; nothing else is imported to say them."""

from __future__ import annotations


def minutes_words(minutes: float) -> str:
    """Whole minutes: "25 min"."""
    return f"{minutes:.0f} min"


def in_hundred(probability: float) -> str:
    """A chance of a hundred, "48", "under 1", "over 99": never 0 or 100 where it is neither."""
    if 0 < probability < 0.01:
        return "under 1"
    if 0.99 < probability < 1:
        return "over 99"
    return f"{100 * probability:.0f}"


def capital(text: str) -> str:
    """The first letter large, the others as they are."""
    return text[:1].upper() + text[1:]


def listed(words: list[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return " and ".join([*([", ".join(words[:-1])] if words[:-1] else []), *words[-1:]])
