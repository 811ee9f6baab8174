"""Numbers as a technician reads them."""

from __future__ import annotations


def in_hundred(p: float) -> str:
    """A probability as so many in a hundred: "48", "under 1", "over 99"."""
    if 0.0 < p < 0.01:
        return "under 1"
    if 0.99 < p < 1.0:
        return "over 99"
    return f"{100 * p:.0f}"


def minutes(value: float) -> str:
    """Whole minutes: "25 min"."""
    return f"{value:.0f} min"
