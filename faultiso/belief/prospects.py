"""Every sign that can still be read: where, and at what effort."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from faultiso.belief.evidence import Reading
from faultiso.model.effort import Effort, Standing, effort
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline, handling


@dataclass(frozen=True)
class Prospect:
    """An unread sign; ``timeline`` ends when it would be read. Indications take no effort."""

    sign: Indication | Check
    timeline: Timeline
    effort: Effort | None


def prospects(
    model: Model, timeline: Timeline, readings: Sequence[Reading], standing: Standing
) -> dict[str, Prospect]:
    """The unread indications of this moment, and the checks that can be made and were not made in it."""
    read_now = {reading.sign for reading in readings if reading.moment == timeline.now}
    found: dict[str, Prospect] = {}
    timelines: dict[Timeline, Timeline] = {}  # one object for those that are equal
    for indication in model.indications.values():
        if indication.name not in read_now:
            found[indication.name] = Prospect(indication, timeline, None)
    for check in model.checks.values():
        work = effort(model, check.work, standing)
        if work is None:
            continue
        when = moment_of(check, timeline, work)
        when = timelines.setdefault(when, when)
        if check.name in read_now and when == timeline:
            continue
        found[check.name] = Prospect(check, when, work)
    return found


def moment_of(check: Check, timeline: Timeline, work: Effort) -> Timeline:
    """The timeline at the moment of the check's reading: its conditions set, its units swapped."""
    swapped = handling(f"{check.name} at {timeline.now + 1}", check.work)
    same = work.standing.conditions == timeline.moments[-1].conditions
    if swapped.changes_nothing:
        return timeline if same else timeline.then(work.standing.conditions)
    return timeline.then(work.standing.conditions, (swapped,))
