"""The write-up that a chart begins from, and how things stand there, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from faultiso.base.figures import capital
from faultiso.belief.belief import Belief
from faultiso.model.system import Model
from faultiso.session.words import differing, reading_words, settings_words


def complaint_words(belief: Belief, reported: int) -> str:
    """ "Both engines at idle: pump 2 caution lit. It begins from: parked."; where there are no conditions,
    what was seen alone.

    ``reported``: so many readings, the first ones, were reported.
    """
    start = _where(belief, belief.timeline.now)
    return " ".join([*_seen(belief, reported), *([f"It begins from: {start}."] if start else [])])


def _seen(belief: Belief, reported: int) -> Iterator[str]:
    readings = belief.readings[:reported]
    for moment in dict.fromkeys(reading.moment for reading in readings):
        said = "; ".join(reading_words(belief.model, r) for r in readings if r.moment == moment)
        where = _where(belief, moment)
        yield f"{where}: {said}." if where else f"{capital(said)}."


def _where(belief: Belief, moment: int) -> str:
    """The situation that comes nearest, and what differs from it."""
    conditions = belief.timeline.moments[moment].conditions
    nearest = min(
        belief.model.situations.values(), key=lambda s: len(differing(s.values, conditions)), default=None
    )
    if nearest is None:
        return settings_words(belief.model, _not_at_start(belief.model, conditions))
    apart = settings_words(belief.model, differing(nearest.values, conditions))
    return f"{nearest.title} ({apart})" if apart else nearest.title


def _not_at_start(model: Model, conditions: Mapping[str, str]) -> Mapping[str, str]:
    return differing(model.start, conditions)
