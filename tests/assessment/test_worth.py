"""What a step was worth: by what was known before it, never by what was hidden."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings

from faultiso.assessment.debrief import Debrief, debrief
from faultiso.assessment.passages import Passage, passages
from faultiso.assessment.review import Memory, reviewed
from faultiso.assessment.worth import LEAST_LOSS, Worth, worth
from faultiso.casebook.case import Case
from faultiso.model.system import Model
from faultiso.planning.advice import is_close
from faultiso.practice.coaching import better, coach, sentences
from faultiso.practice.practice import Practice
from faultiso.session.desk import Desk, Lines, desk_at, events_of, imagined
from faultiso.session.replies import Said
from tests.practice.frame import CART, case_of, changed, started
from tests.practice.test_answers import WALKS, do, done

CASE, MODEL = case_of(CART)

MEMORY = Memory()


@cache
def awake() -> Desk:
    """One reasoner for all tests of this file."""
    desk = Desk(MODEL, Lines())
    desk.wake()
    return desk


def judged(play: Practice) -> list[tuple[Passage, Worth]]:
    """Every step of a log with its worth."""
    steps, _ = passages(MODEL, events_of(play.desk.log.entries))
    return [(s, worth(desk_at(awake(), s.before), desk_at(awake(), s.after), s.deed)) for s in steps]


def debriefed(play: Practice, case: Case = CASE, model: Model = MODEL) -> Debrief:
    return debrief(reviewed(case, model, events_of(play.desk.log.entries), MEMORY))


def test_what_is_too_much_to_reason_with_is_judged_by_what_was_seen_last() -> None:
    """Told as well: the readings of a step are the last of those that are left."""
    quick = Desk(MODEL, Lines())
    quick.memory = 1 << 16  # little fits
    lines = ["set in use for over 20 minutes", "test gauge at the pump port", "set running unloaded",
             "sound of the cooler fan", "set in use for over 20 minutes", "sound of the cooler fan"]  # fmt: skip
    steps, _ = passages(MODEL, events_of(done(lines).desk.log.entries))
    left_out = 0
    for step in steps:
        before, after = desk_at(quick, step.before), desk_at(quick, step.after)
        left_out += after.left_out
        found = worth(before, after, step.deed)
        assert found.loss >= 0 and found.told in ("", "nothing", "little", "some", "much")
        new = step.after.deeds[-1].readings
        assert after.belief.readings[len(after.belief.readings) - (new[1] - new[0]) :] or new[0] == new[1]
    assert left_out > 0


@settings(max_examples=20)
@given(lines=WALKS)
def test_nothing_is_better_than_the_best_and_a_check_loses_at_most_its_minutes(lines: list[str]) -> None:
    for step, found in judged(done(lines)):
        assert found.loss >= 0
        assert found.minutes == step.deed.minutes
        if found.expected is not None and found.best is not None:
            assert found.expected >= found.best.expected_minutes - 1e-9
        if step.deed.what in ("check", "look"):
            assert found.loss <= step.deed.minutes + 1e-9
        elif step.deed.what != "repair":
            assert found.loss == 0 and found.as_good
        if found.chance is not None:
            assert -1e-9 <= found.chance <= 1 + 1e-9
        if not found.as_good:
            assert found.loss >= LEAST_LOSS
            assert found.best is not None and found.expected is not None
            assert not is_close(found.best.expected_minutes, found.expected)


def test_what_is_advised_is_worth_the_best_at_every_step() -> None:
    play = started(CART, "quiet")
    for _ in range(6):
        action = desk_at(awake(), play.desk.state).advice.action
        if action.kind not in ("check", "look", "repair"):
            break
        play.do(action.name)
        do(play, "note so far")
        assert judged(play)[-1][1].as_good, action
    assert len(judged(play)) >= 2


FREE = ("overheat light", "sound of the cooler fan", "tank temperature gauge")


@pytest.mark.parametrize("name", FREE)
def test_free_looks_are_equally_good(name: str) -> None:
    assert judged(done([name]))[0][1].loss == 0


def test_two_orders_of_free_looks_are_worth_the_same() -> None:
    one, other = judged(done(FREE)), judged(done(FREE[::-1]))
    assert [found.loss for _, found in one] == [found.loss for _, found in other] == [0.0] * 3
    assert all(found.as_good for _, found in (*one, *other))


def test_a_long_check_that_tells_little_loses_its_minutes() -> None:
    step, found = judged(done(["measure the case-drain flow"]))[0]
    assert found.loss == pytest.approx(step.deed.minutes, abs=2.0)
    assert not found.as_good and found.best is not None and found.best.name == "fan_push"


STRONG = ("fan test", "replace the fan thermostat")


def test_hindsight_does_not_matter() -> None:
    """Another truth behind the same log: every figure of every step is the same; only the verdict differs."""
    play = done(STRONG)
    other = changed(CART, truth=("fan.failed",))[0]
    first, second = debriefed(play), debriefed(play, other)
    assert first.steps == second.steps and [s.worth for s in first.steps] == [s.worth for s in second.steps]
    assert first.course.chances != () and first.stated == second.stated
    assert [unit.was_wrong for unit in first.verdict.removed] == [True]
    assert [unit.was_wrong for unit in second.verdict.removed] == [False]


def test_a_repair_on_strong_evidence_loses_nothing_even_if_the_unit_was_good() -> None:
    found = judged(done(STRONG))[-1][1]
    assert found.chance is not None and found.chance > 0.9
    assert found.loss < LEAST_LOSS and found.as_good


def test_a_repair_on_weak_evidence_loses_even_if_the_unit_was_wrong() -> None:
    found = judged(done(["replace the fan thermostat"]))[-1][1]
    assert found.chance is not None and found.chance < 0.5
    assert not found.as_good and found.best is not None and found.best.name == "fan_push"


def test_what_is_reset_after_a_repair_is_no_loss_and_no_suspected_unit() -> None:
    found = judged(done([*STRONG, "let it cool"]))[-1][1]
    assert (found.expected, found.best, found.chance) == (None, None, None)
    assert found.as_good


def test_a_look_at_a_light_that_can_show_nothing_else_is_found() -> None:
    step, found = judged(done(["set parked, mains off", "low level light"]))[1]
    assert found.silent is not None and found.told == "nothing"
    assert found.silent.because == {"mains": "off"}
    assert step.deed.answer == "out"
    loud = judged(done(["set running at pressure, bench at rest", "pressure gauge"]))[-1][1]
    assert loud.silent is None


def test_asking_and_hints_and_settings_are_not_judged() -> None:
    for _, found in judged(done(["ask colleague", "hint", "set running unloaded"])):
        assert found.expected is None and found.loss == 0 and found.told == ""


def test_a_second_witness_before_a_removal_is_no_loss() -> None:
    lines = ["fan test", "fan test", "sound of the cooler fan"]
    play = done(lines)
    best = desk_at(awake(), play.desk.state).advice.action
    assert best.name == "replace_thermostat"
    do(play, "measure the contact of the fan thermostat")
    assert judged(play)[-1][1].loss == 0


def test_resetting_what_is_latched_after_a_failed_proof_is_no_loss() -> None:
    play = done(["fan test", "replace the fan thermostat", "verify"])
    assert play.desk.state.last_repair is not None and play.desk.state.last_repair.proof == "failed"
    do(play, "let it cool")
    passage, found = judged(play)[-1]
    assert passage.deed.name == "reset_cutout" and found.best is None and found.loss == 0


# what the coach says of it


def coached(line: str, *before: str) -> str:
    play = done(before)
    there = imagined(play.desk)
    do(play, line)
    return " ".join(reply.text for reply in coach(there, play.desk) if isinstance(reply, Said))


def test_the_coach_says_what_it_told_and_what_was_better() -> None:
    assert coached("fan test") == "Coach: that told much; as good a step as any."
    said = coached("measure the case-drain flow")
    assert "better from there: push the fan test, 2 min; on average" in said
    assert said.endswith("min less to the end.")


def test_the_coach_says_where_a_dark_light_can_speak() -> None:
    said = coached("low level light", "set parked, mains off")
    assert said.startswith("Coach: that tells you nothing: it can show nothing else (")
    assert '(mains isolator: off); it can speak in: "mains on, motor stopped"' in said


def test_the_coach_tells_the_chance_of_a_unit_and_never_whether_it_was_it() -> None:
    said = coached("replace the fan thermostat", "fan test")
    assert "the chance that it was this unit was 91 in 100" in said
    other = started(changed(CART, truth=("cooler.blocked",)), "quiet")
    assert "Coach" not in " ".join(r.text for r in other.take("overheat light") if isinstance(r, Said))


def test_the_coach_is_silent_on_what_is_not_a_step_of_reasoning() -> None:
    assert coached("set running unloaded") == ""
    assert coached("ask colleague") == ""
    assert coached("let it cool", *STRONG) == ""


def test_better_names_minutes_only_where_it_takes_some() -> None:
    found = judged(done(["measure the case-drain flow"]))[0][1]
    assert better(found).startswith("push the fan test, 2 min; on average ")
    assert (
        list(sentences(awake(), Worth(1.0, None, None), done(["overheat light"]).desk.state.deeds[0])) == []
    )


def test_a_step_that_nothing_can_be_reasoned_of_loses_nothing() -> None:
    tiny = Desk(MODEL, Lines())
    tiny.memory = 1
    (*_, step) = passages(
        MODEL, events_of(done(["fan test", "replace the fan thermostat"]).desk.log.entries)
    )[0]
    found = worth(desk_at(tiny, step.before), desk_at(tiny, step.after), step.deed)
    assert found.loss == 0 and found.best is None and found.chance is None
