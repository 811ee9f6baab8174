"""State is the replay of the log: undo, what is never assumed, what stands against an end."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.language.load import read_model
from faultiso.language.shipped import shipped_models
from faultiso.model.system import Model
from faultiso.session.desk import events_of
from faultiso.session.isolation import Isolation, Lines, begin
from faultiso.session.replaying import replay
from faultiso.session.replies import Said


@cache
def cart() -> Model:
    return read_model(shipped_models()["workshop-power-cart"])


REPORTS = ("running at pressure, bench at rest", "low pressure light", "lit", "pressure gauge", "1,900", "")
TO_WORK = (*REPORTS, "2", "")


def worked(*lines: str) -> Isolation:
    session = begin(cart(), Lines())
    for line in lines:
        session.take(line)
    return session


def said(session: Isolation, line: str) -> str:
    return " ".join(reply.text for reply in session.take(line) if isinstance(reply, Said))


def test_replay_gives_the_same_state_at_every_line() -> None:
    session = worked(*TO_WORK, "set mains on", "ready", "overheat light", "out", "undo", "note watch it")
    entries = events_of(session.desk.log.entries)
    for end in range(1, len(entries) + 1):
        again = replay(cart(), entries[:end])
        assert again == replay(cart(), entries[:end])
        assert again.minutes >= 0
    assert replay(cart(), entries) == session.desk.state


def test_what_was_not_reported_is_not_taken_as_normal() -> None:
    assert [r.sign for r in worked(*TO_WORK).desk.state.readings] == ["low_pressure_light", "gauge_reading"]


def test_all_others_normal_is_asked_and_logged() -> None:
    session = worked(*REPORTS, "1")
    assert len(session.desk.state.readings) == len(cart().indications)
    last = session.desk.log.entries[-1]
    assert last.event == "others"
    assert last.data["normal"]["motor_sound"] == "even"


def test_not_known_is_no_evidence_and_nought_is_a_reading() -> None:
    unknown = worked("running unloaded", "pressure gauge", "nk")
    assert unknown.desk.state.readings == ()
    nought = worked("running unloaded", "pressure gauge", "0")
    assert [r.number for r in nought.desk.state.readings] == [0.0]


def test_a_number_in_another_unit_is_converted_and_shown() -> None:
    session = worked(*REPORTS[:1], "pressure gauge")
    assert "131 bar = 1,900 psi: normal." in said(session, "131 bar")


def test_a_decimal_comma_is_asked_about() -> None:
    session = worked(*REPORTS[:1], "pressure gauge")
    assert "1,9" in said(session, "1,9")
    assert session.desk.state.readings == ()
    assert session.question().name == "outcome"


def test_a_number_that_fits_no_level_costs_one_sentence() -> None:
    session = worked(*REPORTS[:1], "pressure gauge")
    assert "fits no level" in said(session, "999999")
    assert session.question().name == "outcome"


def test_enter_never_goes_past_a_caution() -> None:
    session = worked(*TO_WORK, "test gauge at the pump port")
    assert session.question().name == "ready"
    for line in ("", "ready "):
        session.take(line)
    assert session.question().name == "work"
    session.take("test gauge at the pump port")
    assert "ready" in said(session, "yes")
    session.take("READY")
    assert session.question().name == "outcome"


def test_a_caution_is_shown_in_full_once_for_a_set_of_conditions() -> None:
    session = worked(*TO_WORK)
    first = [r for r in session.take("coil voltage") if type(r).__name__ == "Warned"]
    session.take("")
    second = [r for r in session.take("coil voltage") if type(r).__name__ == "Warned"]
    assert first[0].full and not first[0].again  # type: ignore[union-attr]
    assert second[0].again and not second[0].full  # type: ignore[union-attr]


def test_undo_withdraws_the_last_answer_and_its_minutes() -> None:
    session = worked(*TO_WORK)
    before = session.desk.state
    for line in ("read the top-up record", "often"):
        session.take(line)
    assert session.desk.state.minutes == 4
    assert "back to 0 min" in said(session, "undo")
    assert session.desk.state == before
    kept = [entry.event for entry in session.desk.log.entries]
    assert kept[-2:] == ["read", "undone"]


def test_undo_goes_back_to_the_beginning_and_no_further() -> None:
    session = worked(*TO_WORK)
    for _ in range(12):
        session.take("undo")
    assert session.question().name == "seen"
    assert said(session, "undo") == "There is nothing to withdraw."


def test_work_cannot_end_as_complete_with_a_gauge_fitted() -> None:
    session = worked(*TO_WORK, "test gauge at the pump port", "ready", "normal")
    assert "Not yet. Test gauge" in said(session, "finish")
    assert not session.over
    session.take("2")
    assert session.desk.state.end is not None
    assert session.desk.state.end.how == "handed over with open items"
    assert "not restored" in session.desk.state.end.left_open[0]


def test_restoring_costs_its_minutes_and_ends_what_is_open() -> None:
    session = worked(*TO_WORK, "test gauge at the pump port", "ready", "normal", "restore", "ready")
    assert session.desk.state.unrestored == {}


def test_a_repair_is_not_proven_until_it_is_verified_where_it_was_seen() -> None:
    session = worked(*TO_WORK, "replace the low-pressure switch", "ready", "chapter 29, indicating")
    state = session.desk.state
    assert state.references == ("chapter 29, indicating",)
    assert state.repairs[-1].proof == ""
    session.take("verify")
    session.take("ready")
    assert session.desk.state.course.conditions["unload_lever"] == "loaded"
    for line in ("out", "normal"):
        session.take(line)
    assert session.desk.state.repairs[-1].proof == "passed"
    session.take("finish")
    assert session.desk.state.end is not None
    assert session.desk.state.end.how == "rectified and verified"


def test_a_repair_that_did_not_help_is_not_proved() -> None:
    session = worked(
        *TO_WORK, "replace the low-pressure switch", "ready", "nk", "verify", "ready", "lit", "normal"
    )
    assert session.desk.state.repairs[-1].proof == "failed"
    session.take("finish")
    assert not session.over


DEAD_DISPLAY = ("standing_by", "pressure display dashes", "pressure gauge 0", "", "1", "standing_by")


def test_a_deferral_needs_a_line_of_the_sheet_that_covers_what_leads() -> None:
    session = worked(*DEAD_DISPLAY)
    assert "may not be deferred" in said(session, "defer emergency stop")
    assert "does not cover what leads" in said(session, "defer pressure gauge")
    session.take("defer pressure display")
    end = session.desk.state.end
    assert end is not None and end.how == "deferred"
    assert "display out, use the gauge" in end.what


def test_nothing_is_deferred_before_anything_leads() -> None:
    assert "Nothing leads clearly enough" in said(worked(*TO_WORK), "defer pressure display")


def test_readings_that_contradict_stop_the_work_and_are_named() -> None:
    session = worked(*TO_WORK, "if low-pressure light=out")
    assert not session.over
    assert any("Stop" in reply.text for reply in session.question().before if isinstance(reply, Said))


@settings(max_examples=25)
@given(st.lists(st.text(max_size=40) | st.sampled_from(["", "1", "2", "ready", "undo", "nk", "why", "rank", "set", "if x=y", "finish", "repair", "0", "2,7"]), max_size=12))  # fmt: skip
def test_any_lines_whatever_are_taken(lines: list[str]) -> None:
    session = worked(*TO_WORK[: len(lines) % (len(TO_WORK) + 1)])
    for line in lines:
        if not session.over:
            session.take(line)
            session.question()
    assert replay(cart(), events_of(session.desk.log.entries)) == session.desk.state


@pytest.mark.parametrize("line", ["\x1b[31mred", "[bold]x[/bold]", "<script>", "\u202eabc", "a" * 100_000])
def test_foreign_text_is_shown_harmlessly(line: str) -> None:
    session = worked()
    text = said(session, line)
    assert "\x1b" not in text and "\u202e" not in text and len(text) < 300
