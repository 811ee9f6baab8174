"""Stated beliefs against what turned out: shown to people, never marked."""

from __future__ import annotations

from faultiso.assessment.review import Review

NOTHING = "nothing"


def calibrated(review: Review) -> tuple[tuple[float, bool], ...]:
    """(stated probability, whether it was so) of every belief that was put into words, in order."""
    truth = set(review.case.truth)
    units = {name.partition(".")[0] for name in truth}
    found = []
    for stated in review.state.beliefs:
        for name, percent in stated.says.items():
            so = not truth if name == NOTHING else name in truth or name in units
            found.append((percent / 100.0, so))
    return tuple(found)
