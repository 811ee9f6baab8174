"""What nothing that can still be looked at or checked tells from the truth of a case."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.belief.diagnoses import Listed
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.complaint import AT_WORK, Complaint
from faultiso.model.effort import Standing, steps_between
from faultiso.network.network import Array

SAME = 0.02  # difference of a chance up to which a sign shows the same of two sets of faults


def alike(reasoner: Reasoner, told: Complaint, truth: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """The ambiguity group: sets of faults, none larger than the truth, of which every sign shows the same.

    A sign is any indication or check, read by the person at work, in the situation of now and in every one
    that can be reached from it. Judged are the sets that lead after the complaint, sign by sign: what only
    several signs together would tell apart counts as alike.
    """
    belief = reasoner.belief(told.timeline, told.readings, reader=AT_WORK)
    hidden = frozenset(truth)
    others = [s for s in belief.leading.sets if s != hidden and len(s) <= max(1, len(hidden))]
    same = np.ones(len(others), dtype=bool)
    sets = (hidden, *others)
    listed = Listed(sets, np.full(len(sets), 1.0 / len(sets)))
    for there in _beliefs(reasoner, told, belief):
        for sign in there.open_to(listed).values():
            same &= _shows_the_same(sign.given)
    return tuple(tuple(sorted(chosen)) for chosen, kept in zip(others, same, strict=True) if kept)


def _shows_the_same(given: Array) -> Array:
    """Whether each row but the first is like the first."""
    return np.asarray(np.abs(given[1:] - given[0]).max(axis=1) <= SAME)


def _beliefs(reasoner: Reasoner, told: Complaint, now: Belief) -> Iterator[Belief]:
    """The belief now, and in every other situation that can be reached."""
    yield now
    for conditions in _reachable(reasoner, told):
        timeline = told.timeline.then(conditions)
        yield reasoner.belief(timeline, told.readings, Standing(conditions), AT_WORK)


def _reachable(reasoner: Reasoner, told: Complaint) -> Iterator[Mapping[str, str]]:
    current = told.timeline.moments[-1].conditions
    for situation in reasoner.model.situations.values():
        way = steps_between(reasoner.model, current, situation.values)
        if way is not None and way[0]:
            yield way[1]
