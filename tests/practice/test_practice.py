"""Practice: what was answered has happened, nothing is given away, nothing is done without being asked for."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.base.problems import FaultisoError
from faultiso.belief.observed import sign_of
from faultiso.practice.commands import ASK_MINUTES, HINT_MINUTES
from faultiso.practice.practice import Practice, begin
from faultiso.practice.terms import terms_of
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.desk import Desk, Lines, events_of
from faultiso.session.replaying import replay
from faultiso.session.replies import Said, Warned
from tests.practice.frame import (
    ALL_MODES,
    CART,
    CASES,
    EACH_CASE,
    asked,
    case_of,
    changed,
    gone_on_with,
    kinds_of,
    said,
    shown,
    started,
    warned,
    worked,
)

#: begin with the repair of the cart up to the question for "ready", the belief left open, hazards named
REPAIR = ("repair thermostat", "", "4")
PROVED = (
    "fan test", "", "4", "ready", *REPAIR, "ready", "chapter 29", "let it cool", "5", "ready", "nk",
    "verify", "2", "ready",
)  # fmt: skip


#: a gauge is fitted that has to come off again
FITTED = ("test gauge at", "1", "", "1", "ready")


def no_lines() -> list[str]:
    """Lines that mean something somewhere, and some that mean nothing anywhere."""
    return [
        "", "1", "2", "9", "ready", "nk", "undo", "why", "rank", "help", "data", "data fan", "ask", "ask crew", "hint",
        "believe fan 50", "believe", "set", "set mains on", "restore", "repair", "repair fan", "verify", "finish",
        "defer", "refer", "note a line", "ref chapter 29", "dispute", "dispute no", "vote 1", "vote light 3, fan 2",
        "back", "back 1", "light", "gauge", "pressure", "x y z", "\x1b[31m", "0", "2,7", "vote light \u00b2",
    ]  # fmt: skip


def lines_of(name: str) -> st.SearchStrategy[list[str]]:
    model = case_of(name)[1]
    titles = [
        part.title for group in (model.checks, model.indications, model.repairs) for part in group.values()
    ]
    one = st.sampled_from(no_lines()) | st.sampled_from(titles) | st.sampled_from(["ready", "", "1"])
    return st.lists(one, max_size=14)


def hidden_in(play: Practice) -> dict[str, str]:
    """What may stand neither in the log nor on the screen before the end."""
    case, model = play.case, play.desk.model
    found = {f"fault {name}": name for name in case.truth}
    found |= {f"words of {name}": words.fault_words(model, name) for name in case.truth}
    found |= {f"hint {n}": text for n, text in enumerate(case.hints, 1) if n > play.desk.state.hints}
    found |= {"solution": case.good_solution, "notes": case.notes}
    return {what: text for what, text in found.items() if text}


def told_all(play: Practice, lines: list[str]) -> str:
    """Everything that stands on the screen while these lines are typed, until the end."""
    screen = []
    for line in lines:
        if play.over:
            break
        screen += [asked(play), said(play, line)]
    return " ".join(screen)


@pytest.mark.parametrize("name", EACH_CASE)
@settings(max_examples=1)
@given(data=st.data())
def test_any_lines_are_taken_and_give_nothing_away(name: str, data: st.DataObject) -> None:
    assert_nothing_is_given_away(name, data.draw(st.sampled_from(ALL_MODES[1:])), data)


@settings(max_examples=12)
@given(data=st.data())
def test_the_coach_gives_nothing_away_either(data: st.DataObject) -> None:
    assert_nothing_is_given_away(CART, "coached", data)


@pytest.mark.long
@pytest.mark.parametrize("mode", ALL_MODES)
@pytest.mark.parametrize("name", CASES)
@settings(max_examples=5)
@given(data=st.data())
def test_any_lines_of_every_case_in_every_mode(name: str, mode: str, data: st.DataObject) -> None:
    assert_nothing_is_given_away(name, mode, data)


def assert_nothing_is_given_away(name: str, mode: str, data: st.DataObject) -> None:
    """Any lines in any order: nothing hidden is told, and the log replays to the same state."""
    play = started(name, mode)  # type: ignore[arg-type]
    screen = told_all(play, data.draw(lines_of(name)))
    log = json.dumps([[entry.event, entry.data] for entry in play.desk.log.entries], ensure_ascii=False)
    for what, text in hidden_in(play).items():
        assert text not in log, what
        assert text not in screen, what
    assert not {"truth", "seed", "pins", "right_end", "hints"} & keys_of(play)
    assert replay(play.desk.model, events_of(play.desk.log.entries)) == play.desk.state
    assert "\x1b" not in screen


def keys_of(play: Practice) -> set[str]:
    return {key for entry in play.desk.log.entries for key in entry.data}


@pytest.mark.parametrize("mode", ALL_MODES)
def test_the_seed_and_the_right_end_change_no_line_of_the_beginning(mode: str) -> None:
    first = started(changed(CART, seed=23, right_end="rectified"), mode)  # type: ignore[arg-type]
    other = started(changed(CART, seed=29, right_end="refer"), mode)  # type: ignore[arg-type]
    assert [e.data for e in first.desk.log.entries] == [e.data for e in other.desk.log.entries]
    assert asked(first) == asked(other)


@pytest.mark.parametrize("mode", ALL_MODES)
def test_the_log_replays_to_the_same_state_at_every_line(mode: str) -> None:
    play = worked(*PROVED, "finish", mode=mode)  # type: ignore[arg-type]
    entries = events_of(play.desk.log.entries)
    states = [replay(play.desk.model, entries[:end]) for end in range(1, len(entries) + 1)]
    assert states[-1] == play.desk.state
    assert [state.minutes for state in states] == sorted(state.minutes for state in states)
    clocks = [entry.data["clock"] for entry in play.desk.log.entries]
    assert clocks == [round(state.minutes, 3) for state in states]


def test_what_a_log_begins_with() -> None:
    play = started(CART, "examination", 90.0)
    began = play.desk.state.began
    case, model = case_of(CART)
    assert (began["kind"], began["case"], began["case_digest"]) == ("practice", CART, case.digest)
    assert (began["model"], began["digest"]) == (model.name, model.digest)
    assert terms_of(began).mode == "examination" and terms_of(began).minutes == 90.0
    assert terms_of({**began, "mode": "?", "minutes": "x"}).mode == "quiet"
    assert [e.event for e in play.desk.log.entries[1:3]] == [kinds.SEEN, kinds.REPORTED]
    assert play.desk.state.practises and play.desk.state.phase == "work"


@pytest.mark.parametrize("line", ["undo", "why", "why fan", "rank", "UNDO"])
def test_there_is_no_undo_and_nothing_is_ranked(line: str) -> None:
    play = worked("fan test", "", "4", "ready")
    before = (play.desk.state, kinds_of(play))
    assert said(play, line).startswith("No: in practice what was answered has happened")
    assert (play.desk.state, kinds_of(play)) == before


COSTLY = {
    kinds.READ,
    kinds.REPAIRED,
    kinds.READY,
    kinds.ASKED,
    kinds.HINTED,
    kinds.ENDED,
    kinds.CHANGED,
    kinds.PICKED,
}


@pytest.mark.parametrize("way", [PROVED, FITTED], ids=["proved", "fitted"])
def test_enter_never_does_anything_that_costs(way: tuple[str, ...]) -> None:
    play, questions = started(), set()
    for line in (*way, "finish"):
        questions.add(play.question().name)
        there = Practice(play.case, desk_like(play))
        there.desk.choices = play.desk.choices
        there.answers = play.answers
        before, minutes = len(there.desk.log.entries), there.desk.state.minutes
        there.take("")
        assert there.desk.state.minutes == minutes
        assert not COSTLY & {entry.event for entry in there.desk.log.entries[before:]}
        play.take(line)
    assert questions == {"work", "belief", "hazards", "ready", *(("reference",) if way is PROVED else ())}


def desk_like(play: Practice) -> Desk:
    return Desk(play.desk.model, Lines(play.desk.log.entries))


def test_enter_does_not_begin_a_repair() -> None:
    play = worked(*REPAIR, "ready")
    assert play.question().name == "reference"
    assert said(play, "") == "The chapter or task that you would open, or nk: with that the work is done."
    assert play.desk.state.repairs == ()
    play.take("nk")
    assert play.desk.state.repairs[0].reference == ""


@pytest.mark.parametrize(
    ("lines", "question"),
    [
        ((), "work"),
        (("fan test",), "belief"),
        (("fan test", ""), "hazards"),
        (("fan test", "", "1"), "ready"),
    ],
)
@pytest.mark.parametrize("line", ["zzz zzz", "99", "\u00b2", "nk"])
def test_a_slip_costs_one_sentence_and_the_same_question(
    lines: tuple[str, ...], question: str, line: str
) -> None:
    play = worked(*lines)
    before = play.question()
    assert before.name == question
    replies = play.take(line)
    assert len(replies) == 1 and isinstance(replies[0], Said) and replies[0].text
    assert play.question() == before


def test_a_caution_is_shown_in_full_once_for_a_set_of_conditions() -> None:
    play = worked("fan test", "", "4")
    assert play.question().name == "ready"
    assert warned(play) == Warned(("rotating_parts",))
    assert play.desk.model.cautions["rotating_parts"].precaution in asked(play)
    play.take("ready")
    play.take("fan test")
    assert play.question().name == "ready", "what was told in these conditions is not named again"
    assert warned(play) == Warned((), ("rotating_parts",))
    assert play.desk.model.cautions["rotating_parts"].precaution not in asked(play)


def test_what_was_told_is_told_again_in_other_conditions() -> None:
    play = worked("fan test", "", "4", "ready", "set running unloaded", "", "ready")
    play.take("fan test")
    assert play.question().name == "hazards"
    play.take("")
    assert warned(play).full == ("rotating_parts",)


def test_what_was_not_gone_past_was_not_told() -> None:
    play = worked("fan test", "", "4", "", "fan test", "4")
    assert warned(play).full == ("rotating_parts",)


def test_only_ready_in_full_goes_past_a_caution() -> None:
    play = worked("fan test", "", "4")
    for line in ("r", "yes", "1", "y", "readyy", "go"):
        assert "Only the word ready, in full" in said(play, line)
    assert play.desk.state.deeds == ()
    play.take(" READY ")
    assert [deed.name for deed in play.desk.state.deeds] == ["fan_push"]


@pytest.mark.parametrize("mode", ["quiet", "examination"])
def test_cautions_come_after_the_hazards_were_named(mode: str) -> None:
    play = started(CART, mode)  # type: ignore[arg-type]
    text = shown(play, play.take("fan test")) + asked(play) + said(play, "")
    text += asked(play)
    precaution = play.desk.model.cautions["rotating_parts"].precaution
    assert play.question().name == "hazards" and precaution not in text
    play.take("1")
    assert precaution in asked(play)
    named = play.desk.state.hazards[0]
    assert named.cautions == ("rotating_parts",) and named.named == (named.offered[0],)


@pytest.mark.parametrize("mode", ["coached", "classroom"])
def test_with_a_coach_or_a_class_cautions_come_at_once(mode: str) -> None:
    play = worked("fan test", mode=mode)  # type: ignore[arg-type]
    if mode == "coached":
        play.take("")
    assert play.question().name == "ready"
    assert kinds.HAZARDS not in kinds_of(play)


def test_belief_is_asked_at_most_twice() -> None:
    play, questions = started(), []
    for line in (*PROVED, "thermometer at", "1", "ready", "replace fan thermostat", "ready", "nk", "finish"):
        questions.append(play.question().name)
        play.take(line)
    assert questions.count("belief") == 2
    assert [stated.before for stated in play.desk.state.beliefs] == ["check", "repair"]


def test_who_says_a_belief_unasked_is_not_asked_before_a_check() -> None:
    play = worked("believe fan thermostat 60", "fan test")
    assert play.question().name == "hazards"
    assert play.desk.state.beliefs[0].says == {"fan_thermostat": 60.0}


def test_a_class_is_not_asked_what_it_believes() -> None:
    assert worked("fan test", mode="classroom").question().name == "ready"


def test_nothing_is_asked_before_what_takes_no_time() -> None:
    assert worked("overheat light").question().name == "work"


def test_work_does_not_end_with_something_fitted() -> None:
    play = worked(*FITTED)
    assert play.desk.state.unrestored == {"gauge_fitted": "pump_port"}
    for line in ("finish", "defer pressure display"):
        assert "Not yet. Test gauge: fitted" in said(play, line)
        assert play.desk.state.end is None
    play.take("finish")
    play.take("1")
    while play.question().name != "work":
        play.take("ready" if play.question().name == "ready" else "1")
    assert play.desk.state.unrestored == {}
    assert play.desk.state.deeds[-1].what == "restore" and play.desk.state.deeds[-1].minutes > 0


def test_it_can_be_handed_over_with_something_fitted() -> None:
    play = worked(*FITTED, "finish", "2")
    assert play.desk.state.end is not None
    assert play.desk.state.end.how == "handed over with open items"
    assert "not restored: test gauge" in play.desk.state.end.left_open[0]


def test_no_fault_found_is_refused_while_something_is_fitted() -> None:
    play = worked(*FITTED)
    play.do("no fault found")
    assert play.desk.state.end is None


def test_a_proved_repair_ends_as_rectified() -> None:
    play = worked(*PROVED)
    assert play.desk.state.repairs[-1].proof == "passed", play.desk.state.deeds
    play.take("finish")
    assert play.desk.state.end is not None and play.desk.state.end.how == "rectified and verified"
    assert play.over and play.ended


@pytest.mark.parametrize(
    ("lines", "how"),
    [
        (("finish", "1"), "no fault found"),
        (("finish", "2"), "referred"),
        (("finish", "3"), "handed over with open items"),
        (("refer",), "referred"),
        (("defer pressure display",), "deferred"),
    ],
)
def test_the_ways_to_end(lines: tuple[str, ...], how: str) -> None:
    end = worked(*lines).desk.state.end
    assert end is not None and end.how == how
    assert end.line == ("display_out" if how == "deferred" else "")


def test_what_may_not_be_deferred_is_not() -> None:
    play = worked("defer emergency stop")
    assert play.desk.state.end is None
    assert "may be deferred" in said(play, "defer")
    assert "no such line" in said(play, "defer zzz")


def test_notes_references_hints_and_asking_are_in_the_log_with_their_minutes() -> None:
    play = worked("note  a\x1b[31m line ", "ref chapter 29", name="first-light")
    assert play.desk.state.notes == ("a line",) and play.desk.state.references == ("chapter 29",)
    assert play.desk.state.minutes == 0
    play.take("hint")
    assert play.desk.state.minutes == HINT_MINUTES and play.desk.state.hints == 1
    assert play.desk.log.entries[-1].data["text"] == play.case.hints[0]
    play.take("ask log")
    assert play.desk.state.minutes == HINT_MINUTES + ASK_MINUTES
    assert tuple(play.desk.log.entries[-1].data["says"]) == play.case.says["log"]
    assert [deed.what for deed in play.desk.state.deeds] == ["hint", "ask"]
    assert "would open" in said(play, "ref") and "record" in said(play, "note")


def test_hints_come_one_by_one_and_end() -> None:
    play = started()
    told = [said(play, "hint") for _ in play.case.hints]
    assert [text.removesuffix(" (10 min)") for text in told] == list(play.case.hints)
    assert said(play, "hint") == "There are no more hints."
    assert play.desk.state.minutes == HINT_MINUTES * len(play.case.hints)


def test_nobody_is_asked_who_is_not_there() -> None:
    assert "Nobody and no record" in said(started("first-light"), "ask colleague")
    assert "I reset it once" in said(started(CART), "ask colleague")
    assert "Nobody and no record" in said(started(CART), "ask crew"), "the model asks them by a check"
    assert "Nothing more than what is written" in said(started(CART), "ask uplift")


def test_what_a_check_that_asks_is_told_stands_beside_its_answer() -> None:
    play = worked("ask who used", "")
    last = [e for e in play.desk.log.entries if e.event == kinds.READ][-1]
    assert last.data["sign"] == "ask_last_user" and play.desk.state.minutes == 5


def test_a_reading_is_disputed_by_its_line() -> None:
    play = worked("overheat light", "dispute it was dark")
    dispute = play.desk.state.disputes[0]
    read = next(e for e in play.desk.log.entries if e.event == kinds.READ)
    assert (dispute.reading, dispute.sign, dispute.text) == (read.number, "overheat_light", "it was dark")
    assert "you dispute overheat light lit" in said(play, "dispute")
    reported = worked("dispute")
    assert reported.desk.state.disputes[0].sign == "fluid_under_cart"


# examination and time


class Clock:
    """A clock that a test turns."""

    def __init__(self) -> None:
        self.now = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


class Timed(Lines):
    """A log in memory whose lines have a time."""

    def __init__(self, clock: Clock) -> None:
        super().__init__()
        self._clock = clock

    def append(self, event: str, data):  # type: ignore[no-untyped-def]
        from dataclasses import replace

        entry = replace(super().append(event, data), at=self._clock().isoformat())
        self.entries[-1] = entry
        return entry


def timed(minutes: float) -> tuple[Practice, Clock]:
    clock = Clock()
    return started(CART, "examination", minutes, Timed(clock), clock), clock


def test_an_examination_has_no_hints_and_no_coach() -> None:
    play = started(CART, "examination")
    assert said(play, "hint") == "There are no hints in an examination."
    assert "Coach" not in said(play, "overheat light")
    assert "hint" not in said(play, "help")


def test_time_left_is_told_and_then_is_up() -> None:
    play, clock = timed(90.0)
    assert "Real time left: 90 of 90 min." in asked(play)
    clock.now += timedelta(minutes=60)
    play.take("note half")
    assert "Real time left: 30 of 90 min." in asked(play)
    clock.now += timedelta(minutes=31)
    play.take("note late")
    assert "Time is up" in asked(play)
    for line in (
        "fan test",
        "hint",
        "ask crew",
        "overheat light",
        "set mains off",
        "repair thermostat",
        "verify",
    ):
        assert "Time is up" in said(play, line), line
    assert play.desk.state.deeds == ()
    play.take("finish")
    play.take("2")
    assert play.desk.state.end is not None and play.desk.state.end.how == "referred"


@pytest.mark.parametrize("line", ["ask", "set"])
def test_a_number_does_not_go_past_the_time_either(line: str) -> None:
    play, clock = timed(10.0)
    play.take(line)
    clock.now += timedelta(minutes=11)
    assert "Time is up" in said(play, "2")
    assert play.desk.state.deeds == () and play.desk.state.pick is None


def test_without_a_limit_there_is_no_end_of_time() -> None:
    play, clock = timed(0.0)
    clock.now += timedelta(days=2)
    assert "Time" not in said(play, "overheat light") and "Real time" not in asked(play)


# a class


def test_votes_are_counted_and_the_choice_stays_with_who_leads() -> None:
    play = started(CART, "classroom")
    told = said(play, "vote fan test 5, overheat light 12")
    assert told.index("12 hands") < told.index("5 hands")
    voted = play.desk.log.entries[-1].data
    assert (voted["options"], voted["counts"]) == (["fan_push", "overheat_light"], [5, 12])
    assert play.desk.state.deeds == ()
    play.take("1")
    assert play.desk.state.deeds[-1].name == "overheat_light"
    for line in ("vote", "vote zzz 3", "vote fan", "vote fan \u00b2"):
        assert len(play.take(line)) == 1


@pytest.mark.parametrize("mode", ["coached", "quiet", "examination"])
def test_only_a_class_steps_back(mode: str) -> None:
    play = worked("overheat light", mode=mode)  # type: ignore[arg-type]
    play.take("back 1")
    play.take("vote fan 3")
    assert not {kinds.STEPPED_BACK, kinds.VOTED} & set(kinds_of(play))


def test_back_keeps_both_ways_and_the_same_way_has_the_same_answers() -> None:
    play = started(CART, "classroom")
    way = ("overheat light", "fan test", "ready", "temperature gauge", "thermometer at", "ready")
    for line in way:
        play.take(line)
    first, lines = play.desk.state, kinds_of(play)
    start = play.desk.log.entries[-1].number
    assert "1 look at overheat light lit" in said(play, "back")
    assert "The log keeps both ways" in said(play, "back 1")
    assert play.desk.state.deeds == () and play.desk.state.minutes == 0
    assert kinds_of(play)[: len(lines)] == lines and len(play.desk.log.entries) == start + 1
    for line in way:
        play.take(line)
    again = play.desk.state
    assert [(d.what, d.name, d.answer, d.minutes) for d in again.deeds] == [
        (d.what, d.name, d.answer, d.minutes) for d in first.deeds
    ]
    assert again.readings == first.readings
    assert replay(play.desk.model, events_of(play.desk.log.entries)) == again


@pytest.mark.parametrize("back", [1, 2, 3, 4])
def test_back_goes_to_before_the_step_of_that_number(back: int) -> None:
    play = worked(
        "overheat light",
        "fan test",
        "ready",
        "ask colleague",
        "set running unloaded",
        "ready",
        mode="classroom",
    )
    deeds = play.desk.state.deeds
    assert [deed.what for deed in deeds] == ["look", "check", "ask", "set"]
    play.take(f"back {back}")
    assert [deed.name for deed in play.desk.state.deeds] == [deed.name for deed in deeds[: back - 1]]
    assert play.desk.state.pick is None and play.question().name == "work"
    for line in ("back 9", "back x", "back \u00b2", "back 0"):
        assert len(play.take(line)) == 1


# leaving and going on


def test_quit_leaves_and_the_question_stays_open() -> None:
    play = worked("fan test", "", "4")
    play.take("quit")
    assert play.over and not play.ended
    again = gone_on_with(play)
    assert again.question().name == "ready"
    assert warned(again).full == ("rotating_parts",), "whoever goes on has seen no caution yet"
    again.leave()
    assert again.over and kinds_of(again)[-1] == kinds.LEFT


def test_a_case_whose_complaint_is_impossible_writes_nothing() -> None:
    wrong, model = changed(CART, truth=("motor.winding_open",))
    log = Lines()
    with pytest.raises(FaultisoError):
        begin(wrong, model, log, terms_of({}))
    assert log.entries == []


def test_what_is_read_is_a_sign_with_its_words() -> None:
    play = worked(*PROVED)
    for entry in play.desk.log.entries:
        if entry.event == kinds.READ:
            sign = sign_of(play.desk.model, str(entry.data["sign"]))
            assert entry.data["words"] == words.answer_words(sign, entry.data["answer"])


def test_who_goes_on_sees_what_was_read_and_what_is_about_to_be_done() -> None:
    play = worked("overheat light", *REPAIR)
    again = gone_on_with(play)
    told = shown(again, again.so_far())
    assert "So far look at overheat light" in told and "fan thermostat: about to be done." in told
    assert started(CART, "quiet").so_far() == ()


def test_who_can_be_asked_is_found_by_letters_too() -> None:
    assert "Nothing more than what is written" in said(started(CART), "uplift")


def test_a_vote_for_letters_that_fit_several_things_asks_for_more() -> None:
    told = said(started(CART, "classroom"), "vote gauge 12")
    assert "More letters, please" in told and "12" not in told
