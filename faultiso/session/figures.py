"""Minutes and chances in the words of the screens; nothing else is imported to say them."""

from __future__ import annotations


def minutes_words(minutes: float) -> str:
    return f"{minutes:.0f} min"


def in_hundred(probability: float) -> str:
    """ "48", "under 1", "over 99": a chance of a hundred, never 0 or 100 where it is neither."""
    if 0 < probability < 0.01:
        return "under 1"
    if 0.99 < probability < 1:
        return "over 99"
    return f"{100 * probability:.0f}"


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]
