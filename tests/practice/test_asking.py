"""The open question hangs on the log alone: whoever reads it asks the same one."""

from __future__ import annotations

import pytest

from faultiso.practice import ending
from faultiso.practice.asking import BELIEF, DATA, HAZARDS, question
from faultiso.practice.commands import ALWAYS, CLASSROOM, WORK
from faultiso.practice.practice import Practice
from faultiso.session.desk import Desk, Lines
from faultiso.session.replies import Listing, Said
from tests.practice.frame import ALL_MODES, started, worked
from tests.practice.test_practice import FITTED, PROVED


@pytest.mark.parametrize("mode", ALL_MODES)
def test_the_question_is_the_same_from_the_log_alone_at_every_line(mode: str) -> None:
    play = started(mode=mode)  # type: ignore[arg-type]
    for line in (*PROVED, "finish"):
        there = Practice(play.case, Desk(play.desk.model, Lines(play.desk.log.entries)))
        mine, theirs = play.question(), question(there)
        assert (mine.name, mine.prompt, mine.before, mine.key) == (
            theirs.name,
            theirs.prompt,
            theirs.before,
            theirs.key,
        )
        play.take(line)


@pytest.mark.parametrize(
    ("lines", "name", "text"),
    [
        ((), "work", "0 min > "),
        (("fan test",), "belief", BELIEF),
        (("fan test", ""), "hazards", HAZARDS),
        (("fan test", "", "1"), "ready", "Type ready to do it, Enter to choose again > "),
        ((*PROVED[:4], "repair thermostat", "", "4", "ready"), "reference", DATA),
    ],
)
def test_each_question_in_words(lines: tuple[str, ...], name: str, text: str) -> None:
    asked = worked(*lines).question()
    assert (asked.name, asked.text) == (name, text)


def test_what_can_be_typed_at_each_question() -> None:
    assert worked().question().offer.commands == WORK
    assert worked(mode="classroom").question().offer.commands == (*WORK, *CLASSROOM)
    assert worked("fan test", "", "1").question().offer.commands == ALWAYS
    assert not {"undo", "hint"} & set(ALWAYS)


def test_the_list_of_hazards_has_titles_and_no_marks() -> None:
    before = worked("fan test", "").question().before
    listing = next(reply for reply in before if isinstance(reply, Listing))
    assert all(title and not about for title, about in listing.rows)
    assert any(isinstance(reply, Said) for reply in before)


def test_the_job_clock_stands_in_the_prompt() -> None:
    assert worked("fan test", "", "4", "ready").question().prompt == "2 min > "
    assert worked(*PROVED).question().prompt.endswith(" min > ")


def test_an_inspection_that_is_called_for_is_asked_after_the_proof() -> None:
    play = worked("replace the contactor", "", "1", "ready", "nk", "verify", "1", "ready")
    if play.desk.state.repairs[-1].proof == "passed":
        assert play.question().name == "inspection"
    else:
        assert play.question().name == "work"


def test_finish_says_what_is_open_and_offers_every_other_end() -> None:
    nothing = ending.finish(worked().desk)
    assert isinstance(nothing[0], Said) and nothing[0].text.startswith("Nothing was repaired.")
    assert isinstance(nothing[1], Listing) and len(nothing[1].rows) == 3
    open_one = worked(*PROVED[:4], "repair thermostat", "", "4", "ready", "nk")
    told = ending.finish(open_one.desk)
    assert isinstance(told[0], Said) and "Open: not proved: replace the fan thermostat" in told[0].text
    fitted = ending.finish(worked(*FITTED).desk)
    assert isinstance(fitted[0], Said) and fitted[0].text.startswith("Not yet.")
    assert ending.end_as(worked().desk, "fan_push") is None
