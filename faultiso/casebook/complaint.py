"""A case as the reasoner sees it: the moments of its reports and of now, and what was read in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from faultiso.belief.evidence import Reading
from faultiso.belief.observed import conditions_of, normal_readings, reading_of, sign_of
from faultiso.casebook.case import Case, Pin, Seen, Setting
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline, moment

AT_WORK = 1  # the draw of reading errors of the person at work; that of the crew is 0


@dataclass(frozen=True)
class Complaint:
    """``timeline`` ends now; ``readings`` are the crew's, what was normal included."""

    timeline: Timeline
    readings: tuple[Reading, ...]


def complaint(case: Case, model: Model) -> Complaint:
    """One moment for each report and one for now, unless nothing has changed since the last report."""
    moments = [moment(setting_of(model, seen.setting)) for seen in case.seen]
    now = moment(setting_of(model, case.now))
    timeline = Timeline(tuple(moments if moments[-1] == now else (*moments, now)))
    readings = [r for at, seen in enumerate(case.seen) for r in _reported(model, timeline, at, seen)]
    return Complaint(timeline, tuple(readings))


def setting_of(model: Model, setting: Setting) -> dict[str, str]:
    """The complete condition values of a setting."""
    return conditions_of(model, setting.differs, setting.situation)


def _reported(model: Model, timeline: Timeline, at: int, seen: Seen) -> tuple[Reading, ...]:
    told = read(model, seen.reports, at)
    normal = normal_readings(model, timeline, at, seen.reports) if seen.others == "normal" else ()
    return (*told, *normal)


def read(model: Model, answers: Mapping[str, str], at: int, draw: int = 0) -> tuple[Reading, ...]:
    """The readings that answers stand for; "nk" is none."""
    found = []
    for name, answer in answers.items():
        reading = reading_of(sign_of(model, name), answer, at)
        if reading is not None:
            found.append(Reading(name, reading.outcome, reading.number, moment=at, draw=draw))
    return tuple(found)


def with_pins(case: Case, model: Model, told: Complaint) -> tuple[Timeline, tuple[tuple[Reading, ...], ...]]:
    """The timeline with a moment for each pin's setting, and the readings of each pin there.

    Pins in the same setting share a visit.
    """
    timeline, places = told.timeline, {told.timeline.moments[-1]: told.timeline.now}
    pinned = []
    for pin in case.pins:
        then = moment(setting_of(model, pinned_setting(case, pin)))
        if then not in places:
            timeline = Timeline((*timeline.moments, then))
            places[then] = timeline.now
        pinned.append(read(model, pin.shows, places[then], AT_WORK))
    return timeline, tuple(pinned)


def pinned_setting(case: Case, pin: Pin) -> Setting:
    """The setting of a pin; where it names no situation, as things stand now but for what differs."""
    if pin.setting.situation:
        return pin.setting
    return Setting(case.now.situation, {**case.now.differs, **pin.setting.differs})
