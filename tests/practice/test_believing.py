"""What the person says they believe, as it is understood."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.problems import FaultisoError, UsageError
from faultiso.practice.believing import belief_facts, stated_in
from tests.practice.frame import CART, case_of, said, worked

MODEL = case_of(CART)[1]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("fan thermostat 60", {"fan_thermostat": 60.0}),
        ("fan thermostat 60 %, cooler fan 20%", {"fan_thermostat": 60.0, "fan": 20.0}),
        ("Thermostat 12.5", {"fan_thermostat": 12.5}),
        ("lp switch 5", {"low_pressure_switch": 5.0}),
        ("nothing 40, cooler 10,", {"nothing": 40.0, "cooler": 10.0}),
        ("nothing wrong 100", {"nothing": 100.0}),
        ("burnt out 3", {"low_pressure_lamp.dead": 3.0}),
    ],
)
def test_units_and_per_cent(line: str, says: dict[str, float]) -> None:
    assert stated_in(MODEL, line) == says


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("", "letters of a unit and per cent"),
        ("60", "letters of a unit, then per cent"),
        ("fan thermostat", "letters of a unit, then per cent"),
        ("zzz 5", 'No unit is called "zzz"'),
        ("fan thermostat 60, cooler fan 50", "110 per cent; 100 at most"),
        ("pressure 10", "fits several units"),
        ("fan thermostat -5", "-5 per cent cannot be"),
        ("fan thermostat -0.5 %", "-0.5 per cent cannot be"),
        (f"fan thermostat {'9' * 400}", "100 at most"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(line: str, told: str) -> None:
    with pytest.raises(UsageError, match=told):
        stated_in(MODEL, line)


def test_what_was_understood_is_said_back_with_the_rest() -> None:
    facts = belief_facts(MODEL, {"fan_thermostat": 60.0, "nothing": 15.0})
    assert facts.pairs == (
        ("fan thermostat", "60 %"),
        ("nothing is wrong", "15 %"),
        ("anything else", "25 %"),
    )
    assert belief_facts(MODEL, {"fan": 100.0}).pairs == (("cooler fan", "100 %"),)


@given(st.text(max_size=60))
def test_any_text_is_understood_or_refused(line: str) -> None:
    try:
        says = stated_in(MODEL, line)
    except FaultisoError:
        return
    assert says and 0 <= sum(says.values()) <= 100


@pytest.mark.parametrize("middle", [" ", "1", "1 ", "a1", "\t"])
def test_a_very_long_line_is_read_to_a_length_and_refused(middle: str) -> None:
    play = worked("fan test")
    assert len(said(play, "a" + middle * 9_000 + "b")) < 200
    assert play.question().name == "belief"


def test_blanks_count_as_one() -> None:
    assert stated_in(MODEL, f"fan thermostat{' ' * 600}5") == {"fan_thermostat": 5.0}


def test_a_line_at_the_question_is_kept_as_what_it_says() -> None:
    play = worked("fan test", "fan thermostat 60")
    assert play.desk.state.beliefs[0].before == "check"
    assert play.desk.log.entries[-1].data["says"] == {"fan_thermostat": 60.0}
