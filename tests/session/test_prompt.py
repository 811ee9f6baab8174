"""One grammar at every question."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.numbers import Ambiguous, NotKnown, Understood
from faultiso.session.prompt import (
    COMMANDS,
    MOST_SHOWN,
    Choices,
    Command,
    Meaning,
    Nothing,
    Offer,
    Pick,
    Slip,
    understand,
)
from faultiso.session.search import Findable

LIT, OUT = Findable("lit", "lit"), Findable("out", "out")
CAUTION = Findable("pump_1_caution", "pump 1 caution")
PRESSURES = tuple(Findable(f"pressure_{n}", f"pressure {n}") for n in range(1, 24))
TASK = Offer(things=(CAUTION, *PRESSURES))
LIGHT = Offer(choices=(OUT, LIT))
GAUGE = Offer(choices=(Findable("normal", "normal"), Findable("low", "low")), unit="psi")


@pytest.mark.parametrize("name", COMMANDS)
def test_a_first_word_that_is_a_command_is_that_command(name: str) -> None:
    for offer in (TASK, LIGHT, GAUGE):
        assert understand(f" {name.upper()}   pump  1 ", offer) == Command(name, "pump 1")


def test_enter_takes_what_is_proposed() -> None:
    assert understand("", TASK) == understand(" \t\x00 ", GAUGE) == Nothing()


def test_not_known_at_every_question() -> None:
    for offer in (TASK, LIGHT, GAUGE):
        assert understand("NK", offer) == NotKnown()


def test_a_number_picks_from_the_list_on_screen() -> None:
    assert understand("2", LIGHT) == Pick(LIT)
    assert understand("lit", LIGHT) == Pick(LIT)
    for line in ("0", "3", "9" * 400):
        assert understand(line, LIGHT) == Slip("The list has the numbers 1 to 2.")


def test_where_a_number_is_asked_for_digits_are_the_reading() -> None:
    assert understand("2", GAUGE) == Understood(2.0, "psi", "2 psi")
    assert understand("0", GAUGE) == Understood(0.0, "psi", "0 psi")
    assert isinstance(understand("2,7", GAUGE), Ambiguous)
    assert understand("2 bar", Offer(choices=GAUGE.choices, unit="")) == Understood(2.0, "bar", "2 bar")
    assert understand("low", GAUGE) == Pick(GAUGE.choices[1])
    assert isinstance(understand("5 furlongs", GAUGE), Slip)
    assert isinstance(understand("hardly any", GAUGE), Slip)


def test_letters_find_one_or_several() -> None:
    assert understand("cau", TASK) == Pick(CAUTION)
    found = understand("press", TASK)
    assert isinstance(found, Choices)
    assert found.things == PRESSURES[:MOST_SHOWN]
    assert found.hint == "14 more: type another letter"
    assert Choices(PRESSURES[:2]).hint == ""


def test_what_is_on_the_list_and_elsewhere_is_found_once() -> None:
    assert understand("cau", Offer(choices=(CAUTION,), things=(CAUTION,))) == Pick(CAUTION)


def test_an_outcome_behind_letters_that_fit_several_says_so() -> None:
    slip = understand("pressure low", TASK)
    assert slip == Slip(
        '"pressure" fits 23 things: pressure 1; pressure 2; pressure 3 and more. More letters, please.'
    )
    assert isinstance(understand("wobble low", TASK), Slip)
    assert understand("caution low", TASK) != slip  # one thing is no choice of several


def test_a_slip_costs_one_sentence() -> None:
    slip = understand("preshure 1", TASK)
    assert isinstance(slip, Slip)
    assert slip.sentence == 'Nothing here is called "preshure 1". Nearest: pressure 1.'
    near = understand("hlep", TASK)
    assert isinstance(near, Slip) and near.sentence.endswith("Nearest: help.")


@given(st.text(), st.sampled_from([TASK, LIGHT, GAUGE, Offer()]))
def test_any_line_has_a_meaning(line: str, offer: Offer) -> None:
    meaning = understand(line, offer)
    assert isinstance(meaning, Meaning)
    if isinstance(meaning, Slip):
        assert "\n" not in meaning.sentence and "\x1b" not in meaning.sentence
