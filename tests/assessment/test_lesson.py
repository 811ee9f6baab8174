"""One thing for next time: safety first, then what came off too early, the end, silent lights, costly steps."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from faultiso.assessment.cautions import Missed, missed_cautions
from faultiso.assessment.debrief import Step
from faultiso.assessment.lesson import lesson
from faultiso.assessment.verdict import Removed, Verdict
from faultiso.assessment.worth import Worth
from faultiso.planning.advice import Action
from faultiso.session.state import State
from tests.practice.frame import CART, case_of, changed, worked
from tests.practice.test_practice import FITTED

CASE, MODEL = case_of(CART)
BEST = Action("check", "fan_push", "push the fan test", 2.0, 80.0)
GOOD = Verdict("rectified and verified", True, (), (), ())
WRONG = Verdict("rectified and verified", False, ("fan_thermostat.stays_open",), (), ())
ENDED = worked("finish", "1").desk.state
CRITICAL = Missed(4, "a step", ("noise", "turning shaft and fan"), ("turning shaft and fan",), ())
MILD = Missed(2, "a step", ("noise",), (), ("dirt",))


def step(number: int, **fields: Any) -> Step:
    base = Step(number, 0.0, "check", "a check", "", 5.0, "some", "", "", 2, Worth(5.0, 80.0, BEST))
    return replace(base, **fields)


COSTLY = step(3, better="push the fan test, 2 min", worth=Worth(30.0, 110.0, BEST))
SILENT = step(2, silent="mains isolator: off")
EARLY = step(1, what="repair", better="push the fan test, 2 min", worth=Worth(60.0, 150.0, BEST, chance=0.18))
OFF = replace(WRONG, removed=(Removed("replace_fan", 0, False),))
OPEN = worked(*FITTED, "finish", "2").desk.state


def told(
    outcome: Verdict = GOOD,
    steps: tuple[Step, ...] = (),
    missed: tuple[Missed, ...] = (),
    state: State = ENDED,
) -> str:
    return lesson(CASE, MODEL, outcome, steps, missed, state)


def test_the_first_that_applies_safety_first() -> None:
    everything = {"outcome": OFF, "steps": (EARLY, SILENT, COSTLY), "missed": (MILD, CRITICAL), "state": OPEN}
    assert told(**everything) == "Before step 4 name what can hurt you there: turning shaft and fan."  # type: ignore[arg-type]
    everything["missed"] = (MILD,)
    assert told(**everything).startswith("Put back everything")  # type: ignore[arg-type]
    everything["state"] = ENDED
    assert told(**everything) == (  # type: ignore[arg-type]
        "Step 1: a unit came off when its chance to be the cause was 18 in 100; "
        "the better step from there was: push the fan test, 2 min."
    )
    everything["outcome"] = WRONG
    assert told(**everything).startswith("The fault is still there: prove the repair")  # type: ignore[arg-type]
    everything["outcome"] = GOOD
    assert "step 2 could tell nothing (mains isolator: off)" in told(**everything)  # type: ignore[arg-type]
    everything["steps"] = (step(1), COSTLY)
    assert told(**everything) == (  # type: ignore[arg-type]
        "Step 3: push the fan test, 2 min first would have taken 30 min less on average."
    )
    everything["steps"] = (step(1),)
    assert told(**everything) == "Before step 2 think again which hazards belong to it."  # type: ignore[arg-type]
    everything["missed"] = ()
    assert told(**everything).startswith("Nothing: each step was as good")  # type: ignore[arg-type]


def test_a_good_unit_that_was_likely_was_no_early_removal() -> None:
    likely = replace(EARLY, worth=Worth(60.0, 80.0, BEST, chance=0.9), better="")
    assert "came off" not in told(OFF, (likely,))


@pytest.mark.parametrize(
    ("right_end", "how", "part"),
    [
        ("no fault found", "rectified and verified", "know what is normal"),
        ("refer", "rectified and verified", "stop and refer it"),
        ("deferred", "rectified and verified", "could be deferred"),
        ("rectified", "no fault found", "read in the conditions of the complaint"),
        ("rectified", "rectified and verified", "prove the repair where the complaint was seen"),
        ("rectified", "referred", "You stopped before a cause was found"),
        ("rectified", "handed over with open items", "You stopped before a cause was found"),
    ],
)
def test_a_wrong_end_has_its_sentence(right_end: str, how: str, part: str) -> None:
    case = changed(CART, right_end=right_end)[0]
    assert part in lesson(case, MODEL, replace(WRONG, how=how), (), (), ENDED)


@pytest.mark.parametrize("how", ["unfinished", "handed over with open items"])
def test_who_left_is_not_told_that_the_end_was_wrong(how: str) -> None:
    assert told(replace(WRONG, how=how)).startswith("You stopped before a cause was found")


# hazards that were to be named


def missed(*lines: str, titles: tuple[str, ...] = ("one", "two", "three")) -> tuple[Missed, ...]:
    play = worked(*lines)
    return missed_cautions(MODEL, play.desk.state, titles)


def test_hazards_left_out_and_wrong_ones_are_found() -> None:
    assert missed("fan test", "", "4", "ready") == ()
    assert missed("fan test", "", "1 4", "ready") == (Missed(1, "one", (), (), ("pressure that stays",)),)
    left_out = ("turning shaft and fan",)
    assert missed("fan test", "", "", "ready") == (Missed(1, "one", left_out, left_out, ()),)


def test_a_step_that_was_not_made_is_not_called_by_another() -> None:
    found = missed("fan test", "", "", "", "overheat light")
    assert [(item.step, item.title) for item in found] == [(1, "a step that was not made")]


def test_naming_them_again_does_not_undo_what_was_missed() -> None:
    found = missed("overheat light", "fan test", "", "", "", "fan test", "4", "ready")
    assert [(item.step, item.title) for item in found] == [(2, "two")]


def test_what_is_named_before_conditions_are_set_is_counted_there() -> None:
    found = missed("set running unloaded", "", "ready", titles=("set: running unloaded",))
    assert found[0].title == "set: running unloaded" and "noise" in found[0].left_out
    assert set(found[0].critical) <= set(found[0].left_out)


def test_with_a_coach_nothing_is_to_be_named() -> None:
    play = worked("fan test", "", "ready", mode="coached")
    assert missed_cautions(MODEL, play.desk.state, ("one",)) == ()
