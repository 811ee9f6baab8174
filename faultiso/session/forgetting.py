"""When exact reasoning over everything seen needs too much memory: ever shorter versions of what was seen.

Each version is right about what it holds: what work did stays, only readings and visits are left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from faultiso.belief.evidence import Reading
from faultiso.network.timeline import Timeline

Seen = tuple[Timeline, tuple[Reading, ...]]


def shortened(timeline: Timeline, readings: Sequence[Reading], complaint: int) -> Iterator[Seen]:
    """First without the visits in which nothing was read, then also without the oldest readings.

    The first ``complaint`` moments, in which the complaint was seen, and the last one always stay.
    """
    seen: Seen = (timeline, tuple(readings))
    idle = [i for i in range(timeline.now) if not any(r.moment == i for r in readings)]
    for place in reversed(idle):
        seen = without(*seen, place)
    if idle:
        yield seen
    kept = sum(1 for i in range(complaint) if i not in idle)
    while seen[0].now > kept:
        seen = without(*seen, kept)
        yield seen


def without(timeline: Timeline, readings: Sequence[Reading], place: int) -> Seen:
    """Without one moment and its readings; the work before it is handed on to the moment that follows."""
    moments = list(timeline.moments)
    gone = moments.pop(place)
    moments[place] = replace(moments[place], before=(*gone.before, *moments[place].before))
    left = tuple(
        replace(reading, moment=reading.moment - (reading.moment > place))
        for reading in readings
        if reading.moment != place
    )
    return Timeline(tuple(moments)), left
