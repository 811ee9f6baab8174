"""The ambiguity group: what no sign in any situation that can be reached tells from the truth."""

from __future__ import annotations

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.alike import alike
from faultiso.casebook.complaint import complaint
from faultiso.model.system import Model
from tests.casebook.frame import DARK, Change, case_of, lamp

_WIRE_CHECK: Change = (
    "  wire_check: {reads: wire.broken, minutes: 5, needs: {cover: open}, miss: 0.05, false_alarm: 0.02}\n",
    "",
)


def group(model: Model, *changes: Change) -> tuple[tuple[str, ...], ...]:
    case, _ = case_of(DARK, *changes)
    return alike(Reasoner(model), complaint(case, model), case.truth)


def test_two_that_only_one_check_tells_apart() -> None:
    assert group(lamp(_WIRE_CHECK)) == (("switch.stuck",),)
    assert group(lamp(_WIRE_CHECK), ("[wire.broken]", "[switch.stuck]")) == (("wire.broken",),)
    assert group(lamp()) == ()


def test_a_check_that_cannot_be_made_tells_nothing() -> None:
    blocked = ("{values: [closed, open], must_restore: yes}", "{values: [closed, open], settable: no}")
    assert group(lamp(blocked)) == (("switch.stuck",),)


def test_what_shows_only_where_nobody_can_go_is_not_told_from_nothing() -> None:
    """A loose bulb shows on the rough road only; the road cannot be chosen."""
    changes = (
        ("{situation: lit, reports: {glow: none}}", "{situation: drive, reports: {glow: low}}"),
        ("[wire.broken]", "[bulb.loose]"),
        ("[single]", "[single, intermittent]"),
    )
    no_leak = ("    leak: {low: 0.02}\n", "")  # what leaks shows everywhere, and so tells itself
    assert () in group(lamp(no_leak), *changes)
    reachable = ("{values: [smooth, rough], settable: no}", "{values: [smooth, rough]}")
    assert () not in group(lamp(no_leak, reachable), *changes)


def test_larger_sets_are_not_in_the_group() -> None:
    assert all(len(chosen) <= 1 for chosen in group(lamp(_WIRE_CHECK)))
