"""How a session ended against how its case ends: right, wrong, what came off for nothing, what was left behind."""

from __future__ import annotations

import pytest

from faultiso.assessment.passages import passages
from faultiso.assessment.verdict import ENDED_AS, Verdict, ended_otherwise, verdict
from faultiso.casebook.case import ENDS, Case
from faultiso.casebook.hidden_world import world_of
from faultiso.model.system import Model
from faultiso.practice.practice import Practice
from faultiso.session.desk import events_of
from tests.casebook.frame import SMALL, Change
from tests.casebook.frame import case_of as small
from tests.practice.frame import CART, changed, started
from tests.practice.test_answers import do


def played(pair: tuple[Case, Model], *lines: str) -> Practice:
    play = started(pair, "quiet")
    for line in lines:
        do(play, line)
    return play


def judged(play: Practice) -> Verdict:
    steps, state = passages(play.desk.model, events_of(play.desk.log.entries))
    return verdict(play.case, play.desk.model, steps, state)


END: Change = ("right_end: rectified", "right_end: deferred")
NOTHING: tuple[Change, ...] = (
    ("reports: {display_reading: dashes, gauge_reading: 1900 psi}", "reports: {gauge_reading: 1900 psi}"),
    ("kinds: [single, false indication]", "kinds: [nothing wrong]"),
    ("truth: [display.dead]", "truth: []"),
    ("pins:\n  - {situation: at_pressure, shows: {display_reading: dashes}}\n", ""),
    ("right_end: rectified", "right_end: no fault found"),
)
BEYOND: tuple[Change, ...] = (
    ("seed: 3", "seed: 3\nbeyond_model: yes"),
    ("kinds: [single, false indication]", "kinds: [single, beyond the model]"), ("right_end: rectified", "right_end: refer")
)  # fmt: skip
DISPLAY = ("replace the display", "verify")


@pytest.mark.parametrize(
    ("changes", "lines", "how", "right"),
    [
        ((), (*DISPLAY, "finish"), "rectified and verified", True),
        ((), ("replace the transmitter", "verify", "finish", "hand over"), "handed over with open items", False),
        ((), ("defer pressure display",), "deferred", False),
        ((), ("finish", "1"), "no fault found", False),
        ((), ("refer",), "referred", False),
        ((), ("overheat light",), "unfinished", False),
        ((END,), ("defer pressure display",), "deferred", True),
        ((END,), ("defer pressure gauge",), "deferred", False),
        ((END,), (*DISPLAY, "finish"), "rectified and verified", False),
        (NOTHING, ("finish", "1"), "no fault found", True),
        (NOTHING, ("refer",), "referred", False),
        (BEYOND, ("refer",), "referred", True),
        (BEYOND, ("finish", "1"), "no fault found", False),
    ],
)  # fmt: skip
def test_the_end_of_the_case_and_no_other_is_right(
    changes: tuple[Change, ...], lines: tuple[str, ...], how: str, right: bool
) -> None:
    found = judged(played(small(SMALL, *changes), *lines))
    assert (found.how, found.right) == (how, right)


def test_what_is_mended_does_not_remain() -> None:
    pair = small(SMALL)
    assert judged(played(pair)).remains == ("display.dead",)
    assert judged(played(pair, DISPLAY[0])).remains == ()
    assert judged(played(pair, "replace the transmitter")).remains == ("display.dead",)


def test_good_units_that_came_off_are_named_with_their_step() -> None:
    found = judged(played(small(SMALL), "overheat light", "replace the transmitter", *DISPLAY))
    assert [(unit.repair, unit.deed, unit.was_wrong) for unit in found.removed] == [
        ("replace_transmitter", 1, False), ("replace_display", 2, True),
    ]  # fmt: skip
    assert [unit.repair for unit in found.good_units] == ["replace_transmitter"]


def test_a_unit_that_came_off_twice_was_good_the_second_time() -> None:
    found = judged(played(small(SMALL), DISPLAY[0], DISPLAY[0]))
    assert [unit.was_wrong for unit in found.removed] == [True, False]


def test_a_reset_takes_no_unit_off() -> None:
    found = judged(played(changed(CART), "let it cool"))
    assert found.removed == ()


def left_behind() -> tuple[tuple[Case, Model], str]:
    """A seed with which replacing the piston pump leaves air in the fluid."""
    for seed in range(60):
        pair = changed(CART, seed=seed)
        play = played(pair, "replace the pump")
        timeline = play.desk.state.course.timeline
        if "fluid.air_left_in" in world_of(*pair).faults(timeline, timeline.now):
            return pair, "replace the pump"
    raise AssertionError("no seed leaves anything behind")


def test_what_the_work_brought_in_is_left_behind() -> None:
    pair, line = left_behind()
    found = judged(played(pair, line))
    assert found.left_behind == ("fluid.air_left_in",)
    assert set(found.remains) == {"fluid.air_left_in", "fan_thermostat.stays_open"}
    assert judged(played(pair)).left_behind == ()


def test_what_was_stepped_back_from_has_not_happened() -> None:
    play = started(small(SMALL), "classroom")
    do(play, "replace the transmitter")
    play.take("back 1")
    assert judged(play).removed == ()


def test_every_end_of_a_case_has_its_name() -> None:
    assert set(ENDED_AS) == set(ENDS)
    assert ended_otherwise("unfinished") and ended_otherwise("handed over with open items")
    assert not any(ended_otherwise(how) for how in ENDED_AS.values())
