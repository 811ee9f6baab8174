"""What practice adds to a log: how it replays, what stepping back withdraws and what it leaves."""

from __future__ import annotations

from typing import Any

import pytest

from faultiso.session import events as kinds
from faultiso.session.desk import Desk, Lines, events_of
from faultiso.session.events import Event
from faultiso.session.replaying import Unreadable, apply, replay
from faultiso.session.state import State
from faultiso.session.undo import standing_events, to_withdraw
from tests.practice.frame import CART, case_of, started

MODEL = case_of(CART)[1]


def desk() -> Desk:
    """A practice that has just begun."""
    return Desk(MODEL, Lines(started().desk.log.entries))


def after(*events: tuple[str, dict[str, Any]]) -> State:
    there = desk()
    for kind, data in events:
        there.record(kind, **data)
    assert replay(MODEL, events_of(there.log.entries)) == there.state
    return there.state


PICK = (
    kinds.PICKED,
    {"what": "check", "name": "fan_push", "cautions": ["rotating_parts"], "where": {"mains": "on"}},
)


def test_asking_and_hints_take_time_and_read_nothing() -> None:
    state = after(
        (kinds.ASKED, {"whom": "crew", "says": ["x"], "minutes": 2.0}),
        (kinds.HINTED, {"number": 1, "text": "y", "minutes": 10.0}),
    )
    assert (state.minutes, state.hints, len(state.deeds)) == (12.0, 1, 2)
    assert state.readings == desk().state.readings and state.course.man_minutes == 12.0


def test_beliefs_are_kept_with_their_place() -> None:
    state = after(
        (kinds.BELIEVED, {"says": {"fan": 40}, "before": "check"}),
        (kinds.BELIEVED, {"says": {}, "before": ""}),
    )
    assert [(b.says, b.before, b.deeds) for b in state.beliefs] == [({"fan": 40.0}, "check", 0), ({}, "", 0)]


def test_hazards_are_named_for_what_is_picked() -> None:
    state = after(PICK, (kinds.HAZARDS, {"offered": ["noise", "rotating_parts"], "named": ["noise"]}))
    assert state.pick is not None and state.pick.named and not state.pick.ready
    named = state.hazards[0]
    assert (named.what, named.name, named.cautions, named.named) == (
        "check",
        "fan_push",
        ("rotating_parts",),
        ("noise",),
    )


def test_in_practice_a_caution_counts_as_told_only_when_it_was_gone_past() -> None:
    told = ("rotating_parts", (("mains", "on"),))
    assert told not in after(PICK).told
    assert told not in after(PICK, (kinds.DROPPED, {})).told
    assert told in after(PICK, (kinds.READY, {})).told
    assert told not in after(PICK, (kinds.READY, {}), (kinds.RESUMED, {})).told


@pytest.mark.parametrize("kind", [kinds.ASKED, kinds.HINTED, kinds.BELIEVED, kinds.DISPUTED, kinds.HAZARDS])
def test_a_line_that_makes_no_sense_is_unreadable(kind: str) -> None:
    with pytest.raises(Unreadable, match=kind):
        apply(after(PICK), Event(kind, {}), 99)


def test_hazards_without_anything_picked_are_unreadable() -> None:
    for event in (Event(kinds.HAZARDS, {"offered": [], "named": []}), Event(kinds.READY)):
        with pytest.raises(Unreadable, match="line 99"):
            apply(desk().state, event, 99)


def numbered(*events: Event) -> list[tuple[int, Event]]:
    return list(enumerate(events, 1))


def test_stepping_back_withdraws_all_from_a_line_on_but_what_was_written_or_shown() -> None:
    kept = [kinds.NOTED, kinds.REFERENCED, kinds.VOTED, kinds.LEFT, kinds.RESUMED]
    gone = [
        kinds.PICKED,
        kinds.READY,
        kinds.READ,
        kinds.ASKED,
        kinds.HINTED,
        kinds.BELIEVED,
        kinds.HAZARDS,
        kinds.REPAIRED,
    ]
    events = numbered(Event(kinds.BEGAN), Event(kinds.READ), *(Event(kind) for kind in (*kept, *gone)))
    back = (len(events) + 1, Event(kinds.STEPPED_BACK, {"line": 3}))
    standing = standing_events([*events, back])
    assert [event.kind for _, event in standing] == [kinds.BEGAN, kinds.READ, *kept]
    later = (len(events) + 2, Event(kinds.READ))
    assert standing_events([*events, back, later])[-1] == later


def test_back_and_back_again_and_the_first_way_stays_withdrawn() -> None:
    events = numbered(
        Event(kinds.BEGAN), Event(kinds.ASKED), Event(kinds.STEPPED_BACK, {"line": 2}), Event(kinds.HINTED),
        Event(kinds.STEPPED_BACK, {"line": 4}),
    )  # fmt: skip
    assert [event.kind for _, event in standing_events(events)] == [kinds.BEGAN]


def test_undo_does_not_take_back_what_practice_wrote() -> None:
    events = numbered(
        Event(kinds.BEGAN),
        Event(kinds.ASKED),
        Event(kinds.HINTED),
        Event(kinds.BELIEVED),
        Event(kinds.DISPUTED),
    )
    assert to_withdraw(events) is None
