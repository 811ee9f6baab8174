"""Figures of the command line, read by ourselves: the library's own way to read one takes long to load."""

from __future__ import annotations

import math

from faultiso.base.problems import UsageError


def figure(option: str, text: str, least: float, most: float) -> float:
    """The number that was typed for an option. UsageError if it is none, or not within the bounds."""
    try:
        value = float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        value = math.nan
    if not least <= value <= most:
        raise UsageError(f"{option} is a number from {least:g} to {most:g}, not {text[:40]!r}")
    return value


def whole(option: str, text: str, low: int, high: int) -> int:
    """The whole number that was typed for an option. UsageError if it is none, or not within the bounds."""
    if not text.isascii() or not text.isdigit() or not low <= int(text[:12]) <= high:
        raise UsageError(f'{option} is a whole number from {low} to {high}; found "{text[:40]}"')
    return int(text[:12])
