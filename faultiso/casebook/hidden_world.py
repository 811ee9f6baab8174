"""The world of a case: what is wrong, drawn once, given what was reported and what is pinned."""

from __future__ import annotations

from faultiso.belief.evidence import Reading, nearest_level
from faultiso.belief.observed import sign_of
from faultiso.casebook.case import Case
from faultiso.casebook.complaint import complaint, with_pins
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline
from faultiso.world.known import Known
from faultiso.world.world import World


def world_of(case: Case, model: Model) -> World:
    """What answers in the case. Raises UsageError where the complaint or a pin is impossible."""
    return World(model, frozenset(case.truth), case.seed, known_of(case, model), case.beyond_model)


def known_of(case: Case, model: Model) -> list[Known]:
    """What was reported, and the pinned readings, as a world takes them."""
    told = complaint(case, model)
    later, pinned = with_pins(case, model, told)
    known = [_known(model, reading, told.timeline) for reading in told.readings]
    return known + [_known(model, reading, later) for readings in pinned for reading in readings]


def _known(model: Model, reading: Reading, timeline: Timeline) -> Known:
    outcome = reading.outcome or nearest_level(float(reading.number or 0.0), sign_of(model, reading.sign))
    return Known(reading.sign, outcome, timeline, reading.moment, reading.draw, reading.number)
