"""None of the identifiers that are planted in a text survives; what says how the system is does."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.casebook.making.anonymous import anonymous
from faultiso.casebook.making.identifiers import PATTERNS, PLAIN
from faultiso.casebook.making.workorder import read_order
from tests.models.shipped import model_of

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DIGITS = "0123456789"


def word(alphabet: str, least: int, most: int) -> st.SearchStrategy[str]:
    return st.text(alphabet=alphabet, min_size=least, max_size=most)


def joined(*parts: st.SearchStrategy[str] | str) -> st.SearchStrategy[str]:
    found = [st.just(part) if isinstance(part, str) else part for part in parts]
    return st.tuples(*found).map("".join)


number = st.integers(10000, 99999).map(str)
name = joined(st.sampled_from(LETTERS), word("aeiounrstl", 5, 8)).filter(lambda n: n.casefold() not in PLAIN)
capital_name = name.map(str.upper)
mark = st.sampled_from(["G", "D", "F", "PH", "OE", "HB", "9V", "VT", "EC", "SE", "LN", "C", "I", "4X"])
registration = st.one_of(
    joined(mark, "-", word(LETTERS, 4, 4)),
    joined(mark.map(str.lower), "-", word(LETTERS.lower(), 4, 4)),
    joined("N", st.integers(100, 9999).map(str), word("ABCDEFGHJKLMNPQRSTUVWXYZ", 1, 2)),
    joined("JA", st.integers(100, 999).map(str), word(LETTERS, 1, 1)),
)
code = joined(word(LETTERS, 1, 3), word(DIGITS, 4, 6), "-", word(DIGITS, 2, 3))
month = st.sampled_from(["JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC"])
day, year = st.integers(10, 28).map(str), st.integers(2001, 2049).map(str)
date = st.one_of(
    joined(year, "-", st.integers(10, 12).map(str), "-", day),
    joined(day, st.sampled_from(["/", "."]), st.integers(10, 12).map(str), "/", year).map(
        lambda d: d.replace("./", "/")
    ),
    joined(day, " ", month, " ", year),
    joined(day, month, year),
    joined(month.map(str.capitalize), " ", day, ", ", year),
)
station = word("BCDFGHJKLMNPQRSTVWXZ", 3, 4)
phone = joined(
    "+",
    st.integers(10, 99).map(str),
    " ",
    st.integers(100, 999).map(str),
    " ",
    st.integers(10**5, 10**6 - 1).map(str),
)
mail = joined(word("abcdefgh", 4, 8), ".", word("abcdefgh", 4, 8), "@", word("klmnop", 4, 8), ".com")

#: what is planted, and the words that it stands in; "{}" is its place
PLANTED: dict[str, tuple[st.SearchStrategy[str], tuple[str, ...]]] = {
    "registration": (registration, ("Aircraft {} at idle.", "{}: caution lit.", "Seen on {} and not before")),
    "serial or part number": (code, ("Pump S/N {} changed.", "P/N: {}.", "part no {}, new", "SER NO. {}")),
    "document number": (number, ("W/O {}.", "Work order no. {} opened", "TLP {}")),
    "licence or staff number": (code, ("Licence {}.", "stamp no {}", "AUTH. {}")),
    "flight number": (joined(word(LETTERS, 2, 3), st.integers(100, 9999).map(str)), ("Flight {}.", "FLT NO {}", "On {} in cruise")),
    "date": (date, ("On {} again.", "{}: lit.", "since {}")),
    "time": (joined(st.integers(10, 23).map(str), ":", st.integers(10, 59).map(str)), ("at {}Z lit", "{} UTC", "({})")),
    "phone number": (phone, ("Tel {}.", "call {}", "{} for more")),
    "e-mail": (mail, ("{}", "mail to {}.", "<{}>")),
    "name": (st.one_of(name, capital_name), ("Capt. {} reports it.", "Checked by {}.", "F/O {}", "Signed: {}", "seen by Capt. {}", "found by tech. {}", "engineer {} agreed")),
    "operator": (name, ("Operator: {}.", "{} Airways", "customer {}")),
    "station": (station, ("at {} again", "Station {}", "from {}", "DEP {}", "ex-{}")),
}  # fmt: skip


def planted(kind: str) -> st.SearchStrategy[tuple[str, str]]:
    what, sentences = PLANTED[kind]
    return st.tuples(what, st.sampled_from(sentences)).map(lambda pair: (pair[0], pair[1].format(pair[0])))


def test_every_kind_is_planted() -> None:
    assert set(PATTERNS) - {"web address", "long number"} == set(PLANTED)


@pytest.mark.parametrize("kind", PLANTED)
@given(data=st.data())
def test_what_is_planted_is_taken_out(kind: str, data: st.DataObject) -> None:
    what, sentence = data.draw(planted(kind))
    found = anonymous(f"Pump 1 caution lit. {sentence}\nPressure 2,700 psi.")
    assert what.casefold() not in found.text.casefold()
    assert sum(found.removed.values()) >= 1
    assert found.text.startswith("Pump 1 caution lit. ") and found.text.endswith("\nPressure 2,700 psi.")


@given(st.lists(st.sampled_from(sorted(PLANTED)).flatmap(planted), min_size=2, max_size=8))
def test_many_together_are_taken_out_too(found: list[tuple[str, str]]) -> None:
    text = anonymous("; ".join(sentence for _, sentence in found)).text.casefold()
    assert [what for what, _ in found if what.casefold() in text] == []


@given(name, st.sampled_from(["reports it", "was told"]))
def test_a_name_that_was_found_once_goes_wherever_it_stands(who: str, said: str) -> None:
    text = anonymous(f"Capt. {who} {said}. Later {who.lower()} saw it again, {who.upper()}'s words.").text
    assert who.casefold() not in text.casefold()


@given(st.lists(word("abcdefghijklmnop", 4, 9), min_size=1, max_size=4))
def test_a_list_of_the_user_goes_first(words: list[str]) -> None:
    text = " and ".join(word.title() for word in words)
    found = anonymous(f"{text}.", words)
    assert not [word for word in words if word in found.text.casefold().replace("[word of your list]", "")]
    assert found.removed["word of your list"] == len(words)


@given(st.text(max_size=300))
def test_any_text_can_be_cleaned_and_cleaning_again_changes_nothing(text: str) -> None:
    once = anonymous(text)
    assert anonymous(once.text).text == once.text


@pytest.mark.parametrize(
    "text",
    [
        "Pump 1 caution lit at idle, pressure 1 2,700 psi, quantity 74 %.",
        "PUMP 1 CAUTION LIT AT IDLE AND IN TAXI. PRESSURE 2700PSI. N1 90 %. FL350.",
        "O-ring renewed, as in ATA 29-10. By hand. Gear slow: 14 seconds.",
        "The light came on with the start and never went out, by day and night.",
    ],
)
def test_what_says_how_the_system_is_stays(text: str) -> None:
    found = anonymous(text, keep={"pump", "caution"})
    assert found.text == text and found.removed == {}


ORDER = """Registration: G-ABCD
Flight: XQ 1234
Date: 27 NOV 2026
Name: J. Morris
Defect: Display dark on G-ABCD, seen by Morris at LHR.
  Dial good.
Action: Display changed, S/N AB1234-01.
Licence: 4711-B
"""


def test_only_what_says_something_of_the_system_is_taken_over() -> None:
    found = read_order(ORDER, model_of("workshop-power-cart"), ("dark",))
    assert (
        found.seen
        == "Display [word of your list] on [word of your list], seen by [name] at [station]. Dial good."
    )
    assert found.done == "Display changed, S/N [serial or part number]."
    assert found.left_out == ("Registration", "Flight", "Date", "Name", "Licence")


def test_a_text_without_fields_is_taken_whole() -> None:
    found = read_order("Display dark.\nNote the dial: good.", model_of("workshop-power-cart"))
    assert "Display dark" in found.seen + found.done
    plain = read_order("Saw this: display dark", model_of("workshop-power-cart"))
    assert plain.seen == "Saw this: display dark" and plain.left_out == ()


@given(st.lists(st.sampled_from(sorted(PLANTED)).flatmap(planted), min_size=1, max_size=5), st.booleans())
def test_no_planted_identifier_survives_in_an_order(found: list[tuple[str, str]], as_fields: bool) -> None:
    lines = [sentence for _, sentence in found]
    text = "\n".join(f"Remarks: {line}" for line in lines) if as_fields else "\n".join(lines)
    order = read_order(text, model_of("workshop-power-cart"))
    left = (order.seen + " " + order.done).casefold()
    assert [what for what, _ in found if what.casefold() in left] == []
