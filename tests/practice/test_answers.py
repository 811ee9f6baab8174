"""What the hidden world answers at work: as the log's replay reads it, whatever was asked or cut off before."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.casebook.complaint import AT_WORK
from faultiso.casebook.hidden_world import world_of
from faultiso.practice.answers import Answers, read_when
from faultiso.practice.practice import Practice
from faultiso.session import events as kinds
from faultiso.session.answering import set_conditions
from faultiso.session.desk import desk_at, events_of
from faultiso.session.replaying import apply
from faultiso.session.state import State
from faultiso.session.undo import standing_events
from faultiso.world.world import World
from tests.practice.frame import CART, case_of, changed, gone_on_with, started

CART_CASE, CART_MODEL = case_of(CART)


def things() -> list[str]:
    """What can be chosen on the cart: checks, looks, repairs, settings, a proof, what is to be restored."""
    model = CART_MODEL
    titles = [
        part.title for group in (model.checks, model.indications, model.repairs) for part in group.values()
    ]
    places = [f"set {situation.title}" for situation in model.situations.values()]
    return [*titles, *places, "verify", "restore"]


def do(play: Practice, line: str) -> None:
    """Type the line and whatever it takes until the next choice is open."""
    play.take(line)
    for _ in range(8):
        match "over" if play.over else play.question().name:
            case "ready":
                play.take("ready")
            case "reference":
                play.take("nk")
            case "belief" | "hazards":
                play.take("")
            case "inspection":
                play.take("1")
            case _:
                return


def done(lines: Sequence[str]) -> Practice:
    play = started(CART, "quiet")
    for line in lines:
        do(play, line)
    return play


#: a walk of things to do
WALKS = st.lists(st.sampled_from(things()), min_size=1, max_size=6)


def moment_of(state: State, sign: str, after: State) -> int:
    """The moment of the reading that a line has added."""
    assert after.readings[-1].sign == sign
    return after.readings[-1].moment


def agrees(play: Practice, world: World) -> int:
    """Every line that was read, against the world at the moment that the replay has for it; how many."""
    state, found = State(CART_MODEL), 0
    for number, event in standing_events(events_of(play.desk.log.entries)):
        after = apply(state, event, number)
        if event.kind == kinds.READ:
            sign = str(event.data["sign"])
            answer = world.answer(sign, after.course.timeline, moment_of(state, sign, after), AT_WORK)
            expected = answer.outcome if answer.number is None else answer.number
            assert event.data["answer"] == expected, (number, sign)
            found += 1
        state = after
    return found


@settings(max_examples=25)
@given(lines=WALKS)
def test_answers_are_those_of_the_world_where_the_replay_reads_them(lines: list[str]) -> None:
    play = done(lines)
    agrees(play, world_of(CART_CASE, CART_MODEL))


def test_such_walks_read_much() -> None:
    lines = ["set in use for over 20 minutes", "test gauge at the pump port", "sound of the cooler fan",
             "swap the transmitter with the spare, read the display", "replace the fan thermostat", "verify"]  # fmt: skip
    assert agrees(done(lines), world_of(CART_CASE, CART_MODEL)) >= 8


@settings(max_examples=12)
@given(lines=WALKS)
def test_what_is_read_is_never_impossible_to_the_reasoner(lines: list[str]) -> None:
    play = done(lines)
    belief, timeline = play.desk.belief, play.desk.state.course.timeline
    assert belief.possible
    there = world_of(CART_CASE, CART_MODEL).faults(timeline, timeline.now)
    assert all(belief.faults[name] > 0 for name in there)


@settings(max_examples=12)
@given(lines=WALKS, data=st.data())
def test_a_session_that_was_cut_goes_on_with_the_same_answers(lines: list[str], data: st.DataObject) -> None:
    whole = done(lines)
    entries = whole.desk.log.entries
    begun = next(e.number for e in entries if e.event == kinds.PLACED)
    cut = data.draw(st.integers(begun, len(entries)))
    again = gone_on_with(whole, cut)
    standing = again.desk.log.entries
    read_before = [e for e in entries[:cut] if e.event == kinds.READ]
    assert [e.data for e in standing if e.event == kinds.READ][: len(read_before)] == [
        e.data for e in read_before
    ]
    typed_again(again, whole)
    assert read_of(again) == read_of(whole)
    assert again.desk.state.readings == whole.desk.state.readings
    assert again.desk.state.minutes == whole.desk.state.minutes


def read_of(play: Practice) -> list[dict[str, object]]:
    return [dict(e.data) for e in play.desk.log.entries if e.event == kinds.READ]


def typed_again(play: Practice, whole: Practice) -> None:
    """Go on from where the log was cut: what was chosen in the whole one after what was chosen here."""
    if play.desk.state.pick is not None:
        finish_pick(play)
    have = sum(e.event == kinds.PICKED for e in play.desk.log.entries)
    picked = [e.data for e in whole.desk.log.entries if e.event == kinds.PICKED][have:]
    if play.desk.state.repairs and play.question().name == "inspection":
        play.take("1")
    for data in picked:
        choose(play, data)
        finish_pick(play)


def choose(play: Practice, data: dict[str, object]) -> None:
    what, name = str(data["what"]), str(data["name"])
    if what == "verify":
        play.take("verify")
    elif what == "set":
        settings = dict(data["settings"])  # type: ignore[call-overload]
        set_conditions(play.desk, settings, echo=True)
    else:
        play.do(name)
        play.settle()


def finish_pick(play: Practice) -> None:
    for _ in range(8):
        match play.question().name:
            case "ready":
                play.take("ready")
            case "reference":
                play.take("nk")
            case "belief" | "hazards":
                play.take("")
            case "inspection":
                play.take("1")
            case _:
                return


def test_a_cut_between_choice_and_answer_is_answered_when_it_goes_on() -> None:
    play = done(["overheat light"])
    place = next(e.number for e in play.desk.log.entries if e.event == kinds.READ)
    again = gone_on_with(play, place - 1)
    assert read_of(again) == read_of(play)
    assert again.question().name == "work"


def test_a_cut_in_the_middle_of_a_proof_is_read_to_its_end() -> None:
    play = done(["replace the fan thermostat", "let it cool", "verify"])
    reads = [e.number for e in play.desk.log.entries if e.event == kinds.READ]
    for place in reads:
        again = gone_on_with(play, place - 1)
        assert read_of(again) == read_of(play)
        assert again.desk.state.repairs[-1].proof == play.desk.state.repairs[-1].proof


def test_where_a_sign_would_be_read() -> None:
    play = done(["set running at pressure, bench at rest"])
    answers = Answers(CART_CASE, CART_MODEL)
    timeline, moment = read_when(play.desk.state, "fit_test_gauge")
    assert timeline.moments[moment].conditions["unload_lever"] == "loaded"
    before = play.desk.state
    assert answers.of(before, "overheat_light") == answers.of(before, "overheat_light") == "lit"
    assert play.desk.state is before


@pytest.mark.parametrize("seed", range(6))
def test_another_seed_may_answer_otherwise_and_never_impossibly(seed: int) -> None:
    play = started(changed(CART, seed=seed), "quiet")
    for line in (
        "fan test",
        "temperature gauge",
        "set in use for over 20 minutes",
        "sound of the cooler fan",
    ):
        do(play, line)
    assert desk_at(play.desk, play.desk.state).belief.possible
