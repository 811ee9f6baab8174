"""Numbers as people type them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.numbers import (
    UNITS,
    Ambiguous,
    NotANumber,
    NotKnown,
    Understood,
    convert,
    read_number,
    show_number,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2700", 2700), ("2,700", 2700), ("2 700", 2700), ("2\u00a0700", 2700), ("2\u202f700", 2700),
        ("1,234,567", 1234567), ("1 234 567", 1234567), ("2,700.5", 2700.5), ("2.7", 2.7), (".5", 0.5),
        ("0", 0), ("-5", -5), ("\u22123", -3), ("+7", 7), ("1e-6", 1e-6), ("  42  ", 42),
        ("0070", 70), ("5.", 5),
    ],
)  # fmt: skip
def test_plain_numbers(text: str, value: float) -> None:
    reading = read_number(text)
    assert isinstance(reading, Understood)
    assert reading.value == value


@pytest.mark.parametrize(
    ("text", "values"),
    [("2,7", (2.7, 27)), ("27,5", (27.5, 275)), ("2,75", (2.75, 275)), ("0,700", (0.7, 700))],
)
def test_what_can_be_read_in_two_ways_is_asked_about(text: str, values: tuple[float, ...]) -> None:
    reading = read_number(text, "psi")
    assert isinstance(reading, Ambiguous)
    assert tuple(choice.value for choice in reading.choices) == values
    assert text in reading.question and all(choice.shown in reading.question for choice in reading.choices)


@pytest.mark.parametrize(
    "text",
    [
        "", "psi", "2.700,5", "1.234.567", "27 00", "2 7", "1,23,456", "1,2,3",
        "1/2", "12:30", ">3000", "about 5", "1e400", "9" * 30, "\u0662\u0667", "\u00b2", "0x10", "--5",
        "1_000", "nan", "inf", ",", ".", "-",
        "2'700", "5 5 psi",
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_with_a_sentence(text: str) -> None:
    reading = read_number(text, "psi")
    assert isinstance(reading, NotANumber)
    assert reading.reason.endswith(".")


@pytest.mark.parametrize("text", ["nk", "NK", " not known "])
def test_not_known_is_not_zero(text: str) -> None:
    assert read_number(text, "psi") == NotKnown()
    assert read_number("0", "psi") == Understood(0.0, "psi", "0 psi")


def test_a_conversion_is_shown() -> None:
    reading = read_number("138 bar", "psi")
    assert isinstance(reading, Understood)
    assert reading.shown == "138 bar = 2,002 psi"
    assert reading.value == pytest.approx(2001.521, abs=1e-3)
    assert read_number("2,700 psi", "psi") == Understood(2700.0, "psi", "2,700 psi")


def test_an_ambiguous_number_is_asked_about_with_its_conversion() -> None:
    reading = read_number("2,7 bar", "psi")
    assert isinstance(reading, Ambiguous)
    assert [choice.shown for choice in reading.choices] == ["2.7 bar = 39.16 psi", "27 bar = 391.6 psi"]


@pytest.mark.parametrize(
    ("value", "unit", "into", "expected"),
    [
        # NIST SP 811 (2008), appendix B.8, factors as printed there, to their seven digits
        (1, "psi", "kPa", 6.894757),
        (1, "bar", "kPa", 100),
        (1, "MPa", "kPa", 1000),
        (1, "in", "mm", 25.4),
        (1, "US gal", "l", 3.785412),
        (1, "gal/min (US)", "l/min", 3.785412),
        (1, "h", "min", 60),
        (1, "min", "s", 60),
        # B.9: t/C = (t/F - 32) / 1.8
        (212, "F", "C", 100),
        (32, "F", "C", 0),
        (-40, "C", "F", -40),
        # by their meaning
        (1, "per million h", "per h", 1e-6),
        (1, "per 1,000 h", "per h", 1e-3),
    ],
)
def test_factors(value: float, unit: str, into: str, expected: float) -> None:
    assert convert(value, unit, into) == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_a_unit_of_another_kind_or_an_unknown_one_is_refused() -> None:
    wrong = read_number("5 V", "psi")
    assert isinstance(wrong, NotANumber) and "psi" in wrong.reason
    unknown = read_number("5 furlongs", "psi")
    assert isinstance(unknown, NotANumber) and "furlongs" in unknown.reason and "bar" in unknown.reason
    assert convert(1, "psi", "C") is None and convert(1, "furlong", "psi") is None


def test_capitals_count_where_they_mean_a_thousand_million() -> None:
    assert isinstance(read_number("3 mPa", "psi"), NotANumber)
    assert isinstance(read_number("3 MPa", "psi"), Understood)
    assert isinstance(read_number("3 PSI", "psi"), Understood)


def test_a_unit_only_the_model_knows_is_taken_as_it_is() -> None:
    assert read_number("5 quarts", "quarts") == Understood(5.0, "quarts", "5 quarts")
    assert isinstance(read_number("5 l", "quarts"), NotANumber)


def test_without_a_unit_asked_for_the_one_given_counts() -> None:
    assert read_number("5 bar") == Understood(5.0, "bar", "5 bar")
    assert read_number("25 gal/min(US)") == Understood(25.0, "gal/min (US)", "25 gal/min (US)")


@given(st.text(), st.sampled_from(["", "psi", "C", "quarts"]))
def test_any_text_has_a_reading(text: str, unit: str) -> None:
    assert isinstance(read_number(text, unit), Understood | Ambiguous | NotANumber | NotKnown)


@given(st.text("0123456789,. -+eEnkpsibar", max_size=20))
def test_any_text_like_a_number_has_a_reading(text: str) -> None:
    reading = read_number(text, "psi")
    assert isinstance(reading, Understood | Ambiguous | NotANumber | NotKnown)
    if isinstance(reading, Understood):
        assert abs(reading.value) < 1e14


@given(st.integers(-(10**9), 10**9))
def test_a_whole_number_comes_back_however_it_is_grouped(number: int) -> None:
    for text in (str(number), f"{number:,}", f"{number:,}".replace(",", " "), show_number(number)):
        reading = read_number(text, "psi")
        assert isinstance(reading, Understood) and reading.value == number


@given(st.floats(-1e6, 1e6), st.sampled_from(UNITS), st.sampled_from(UNITS))
def test_there_and_back(value: float, unit: str, into: str) -> None:
    converted = convert(value, unit, into)
    if converted is not None:
        back = convert(converted, into, unit)
        assert back == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(st.floats(0.001, 1e6))
def test_what_is_shown_can_be_read_again(value: float) -> None:
    reading = read_number(show_number(value, 4))
    assert isinstance(reading, Understood)
    assert reading.value == pytest.approx(value, rel=1e-3)
