"""Texts that no model may have: a hand near a line, how to open something, a torque."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from faultiso.base.problems import Problem, Where
from faultiso.language.lints import hands, loosening, torque


def judged(placed: Iterable[tuple[str, Where]]) -> Iterator[Problem]:
    """What is wrong with the wording of texts, each with its place."""
    kept = tuple(placed)
    for lint in (hands, loosening, torque):
        yield from lint.judged(kept)
