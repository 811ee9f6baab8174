"""What a seed misreads: neither more nor less than what the world shows otherwise than it is."""

from __future__ import annotations

from faultiso.casebook.complaint import AT_WORK, complaint
from faultiso.casebook.hidden_world import world_of
from faultiso.casebook.misread import NOW, REPORTED, Misread, misread
from tests.casebook.frame import DARK, case_of

SEEDS = range(60)


def test_it_is_what_the_world_shows_otherwise_than_it_is() -> None:
    """By hand: the light now and in the two situations, the checks; the way to a check opens the cover."""
    for seed in SEEDS:
        case, model = case_of(DARK, ("seed: 1", f"seed: {seed}"))
        world, told = world_of(case, model), complaint(case, model).timeline
        now = told.moments[-1].conditions
        found = set(misread(case, model))
        for where, conditions in ((NOW, now), ("lit", {**now, "power": "on"})):
            there = told if where == NOW else told.then(conditions)
            shown = world.answer("glow", there, there.now, AT_WORK).outcome
            right = "none"  # the wire is broken
            assert (Misread("glow", where, shown, right) in found) == (shown != right)
        opened = told.then({**now, "cover": "open"})
        shown = world.answer("wire_check", opened, opened.now, AT_WORK).outcome
        assert (Misread("wire_check", NOW, "absent", "present") in found) == (shown == "absent")


def test_errors_come_up_about_as_often_as_the_model_says() -> None:
    """The wire is broken: it is missed in 5 of 100; the bulb is good: it is called aged in 2 of 100."""
    count = dict.fromkeys(("wire_check", "bulb_test"), 0)
    for seed in range(400):
        for item in misread(*case_of(DARK, ("seed: 1", f"seed: {seed}"))):
            if item.sign in count:
                count[item.sign] += 1
    assert 8 <= count["wire_check"] <= 34 and 1 <= count["bulb_test"] <= 19


def test_a_report_that_was_a_slip_and_a_pin_that_keeps_a_reading() -> None:
    slip = ("reports: {glow: none}", "reports: {glow: full}")
    assert Misread("glow", REPORTED, "full", "none") in misread(*case_of(DARK, slip))
    for seed in range(400):
        change = ("seed: 1", f"seed: {seed}")
        if any(item.sign == "bulb_test" for item in misread(*case_of(DARK, change))):
            pinned = ("seed: 1", f"seed: {seed}\npins: [{{shows: {{bulb_test: absent}}}}]")
            assert not any(item.sign == "bulb_test" for item in misread(*case_of(DARK, pinned)))
            return
    raise AssertionError("no seed misreads the bulb")
