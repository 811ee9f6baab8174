"""The debrief of a log: its steps, the course of the chances, why readings were so, its record."""

from __future__ import annotations

import json
from itertools import pairwise

import pytest

from faultiso.assessment.debrief import debrief, record
from faultiso.assessment.passages import passages
from faultiso.assessment.review import Memory, reviewed
from faultiso.assessment.shown import why_shown
from faultiso.session.desk import events_of
from tests.practice.frame import CART, case_of, gone_on_with, worked
from tests.practice.test_answers import done
from tests.practice.test_practice import PROVED

CASE, MODEL = case_of(CART)
WAY = ("overheat light", "fan test", "set running unloaded", "sound of the cooler fan", "replace the fan thermostat",
       "let it cool", "verify", "finish")  # fmt: skip

MEMORY = Memory()


@pytest.fixture(scope="module")
def found():  # type: ignore[no-untyped-def]
    play = done(WAY)
    return debrief(reviewed(CASE, MODEL, events_of(play.desk.log.entries), MEMORY))


def test_passages_tile_the_work() -> None:
    entries = events_of(worked(*PROVED, "finish").desk.log.entries)
    steps, state = passages(MODEL, entries)
    assert len(steps) == len(state.deeds)
    for before, after in pairwise(steps):
        assert len(after.before.deeds) == len(before.before.deeds) + 1
        assert after.before.minutes >= before.after.minutes
    assert [step.deed for step in steps] == list(state.deeds)
    proof = steps[-1]
    assert (
        proof.deed.what == "verify"
        and proof.after.proving == ()
        and proof.after.repairs[-1].proof == "passed"
    )


def test_steps_have_number_clock_and_line(found) -> None:  # type: ignore[no-untyped-def]
    assert [step.number for step in found.steps] == list(range(1, len(found.steps) + 1))
    clocks = [step.clock for step in found.steps]
    assert clocks == sorted(clocks) and clocks[0] == 0
    assert clocks[-1] + found.steps[-1].minutes == pytest.approx(found.minutes)
    assert found.steps[2].title == "set: running unloaded"
    assert found.steps[-1].told == "proved it"
    assert all(step.line > 0 for step in found.steps)


def test_the_course_has_a_chance_after_each_step(found) -> None:  # type: ignore[no-untyped-def]
    course = found.course
    assert "fan_thermostat" in course.units and len(course.units) == len(course.titles) == len(course.chances)
    assert {len(row) for row in (*course.chances, course.nothing)} == {len(found.steps) + 1}
    assert all(-1e-9 <= chance <= 1 + 1e-9 for row in course.chances for chance in row)
    thermostat = course.chances[course.units.index("fan_thermostat")]
    assert thermostat[2] > 0.8 > thermostat[0], "the fan test points at it"


def test_why_readings_were_so() -> None:
    play = done(["set parked, mains off", "low level light", "set mains on, motor stopped", "overheat light",
                 "tank temperature gauge", "set in use for over 20 minutes", "sound of the cooler fan"])  # fmt: skip
    told = {shown.reading: shown.why for shown in why_shown(CASE, MODEL, play.desk.state)}
    assert told["low level light out"] == "it could show nothing else (mains isolator: off)"
    assert told["overheat light lit"] == "because of fan thermostat: never switches the fan on"
    assert told["tank temperature gauge " + play.desk.state.typed[-2]] == "as with nothing wrong there"
    assert told["sound of the cooler fan silent"].startswith("because of fan thermostat")
    assert len(told) == len(why_shown(CASE, MODEL, play.desk.state))


def test_why_is_said_once_for_what_was_read_twice() -> None:
    once = why_shown(CASE, MODEL, done(["fan test"]).desk.state)
    assert why_shown(CASE, MODEL, done(["fan test", "fan test"]).desk.state) == once


def test_the_record_is_json_with_all_that_history_needs(found) -> None:  # type: ignore[no-untyped-def]
    data = json.loads(json.dumps(record(found)))
    assert data["case"] == CART and data["truth"] == ["fan_thermostat.stays_open"]
    assert (data["end"], data["right"]) == ("rectified and verified", True)
    assert len(data["steps"]) == len(found.steps) and data["steps"][0]["loss"] == 0
    assert set(data["belief"]) == set(found.course.units)
    assert data["good_units_removed"] == [] and data["left_behind"] == []


def test_a_debrief_of_nothing_done() -> None:
    empty = debrief(reviewed(CASE, MODEL, events_of(worked().desk.log.entries), MEMORY))
    assert empty.steps == () and empty.verdict.how == "unfinished"
    assert {len(row) for row in empty.course.chances} == {1}
    assert empty.lesson.startswith("You stopped before a cause was found")


def test_the_debrief_is_the_same_after_a_session_was_cut_and_gone_on_with() -> None:
    whole = done(WAY[:-1])
    again = gone_on_with(whole, len(whole.desk.log.entries) - 1)
    whole.take("finish")
    again.take("finish")
    first, second = (
        record(debrief(reviewed(CASE, MODEL, events_of(p.desk.log.entries), MEMORY))) for p in (whole, again)
    )
    for data in (first, second):
        for step in data["steps"]:
            del step["line"]
    assert first == second


def test_a_desk_that_is_awake_changes_nothing_and_progress_is_told() -> None:
    play, told = done(WAY[:3]), []
    entries = events_of(play.desk.log.entries)
    first = debrief(reviewed(CASE, MODEL, entries, progress=lambda n, of: told.append((n, of))))
    assert record(first) == record(debrief(reviewed(CASE, MODEL, entries, MEMORY)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_a_proof_that_could_not_show_what_is_wrong_is_not_called_one() -> None:
    way = ("replace generator control unit 1", "", "ready", "nk", "verify", "ready", "finish")
    play = worked(*way, name="bumpy-leg", mode="coached")
    model, case = play.desk.model, play.case
    told = debrief(reviewed(case, model, events_of(play.desk.log.entries), MEMORY))
    assert told.verdict.how == "rectified and verified" and told.verdict.remains == case.truth
    assert told.steps[-1].told == "normal; it stays"
