"""The one door for foreign text, and the layout of lines."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from faultiso.base.text import clean, columns, cut, one_line, pad, width, wrap

#: Any text, lone surrogates and control characters included.
ANY_TEXT = st.text(st.characters(codec=None, exclude_categories=()))
NASTY = st.lists(
    st.sampled_from(
        [
            "\x1b[31m",
            "\x1b]0;title\x07",
            "\x1b",
            "\x9b2J",
            "\u202e",
            "\u200b",
            "\ud800",
            "\r",
            "a",
            "\n",
            "]",
            "m",
        ]
    )
).map("".join)


@given(ANY_TEXT | NASTY, st.integers(0, 50))
@example("\x1b[\x1b[31m31m", 50)
@example("\x1b\x1b]0;x\x07[2J", 50)
def test_nothing_that_steers_or_hides_is_left(text: str, limit: int) -> None:
    cleaned = clean(text, limit)
    assert len(cleaned) <= limit
    for character in cleaned:
        assert character == "\n" or unicodedata.category(character) not in ("Cc", "Cf", "Cs", "Zl", "Zp")


@given(ANY_TEXT | NASTY, st.integers(0, 50))
def test_cleaning_twice_changes_nothing(text: str, limit: int) -> None:
    assert clean(clean(text, limit), limit) == clean(text, limit)


@given(st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), max_size=40))
def test_ordinary_text_stays_as_it_is(text: str) -> None:
    assert clean(text) == text


@pytest.mark.parametrize(
    ("text", "cleaned"),
    [
        ("\x1b[31mred\x1b[0m", "red"),
        ("\x1b]0;new title\x07text", "text"),
        ("\x1b]8;;http://x\x1b\\link\x1b]8;;\x1b\\", "link"),
        ("\x9b31mred", "red"),
        ("\x1bcreset", "reset"),
        ("one\r\ntwo\rthree\u2028four", "one\ntwo\nthree\nfour"),
        ("a\tb", "a b"),
        ("safe\u202etxt.exe", "safetxt.exe"),
        ("zero\u200bwidth\ufeff", "zerowidth"),
        ("\ud83d alone", "? alone"),
        ("\x07\x08bell", "bell"),
        ("tag\U000e0041", "tag"),
        ("Pr\u00fcfung \u2013 5 \u00b0C", "Pr\u00fcfung \u2013 5 \u00b0C"),
    ],
)
def test_examples(text: str, cleaned: str) -> None:
    assert clean(text) == cleaned


def test_a_cut_shows() -> None:
    assert clean("abcdefghij", 8) == "abcde..."
    assert clean("abcdefgh", 8) == "abcdefgh"
    assert clean("\x1b[0m" * 1000 + "hidden", 8) == "..."
    assert one_line("  a \n b\t c ") == "a b c"


@given(st.text(st.sampled_from("ab \n\u4e2d"), max_size=200), st.integers(10, 60))
def test_wrapped_lines_fit_unless_one_word_is_longer(text: str, room: int) -> None:
    for line in wrap(text, room, "- "):
        assert width(line) <= room or len(line[2:].split()) == 1
    assert " ".join(wrap(text, room)).split() == text.split()


def test_a_long_word_is_never_broken() -> None:
    assert wrap("see C:\\a\\very\\long\\path now", 10) == ["see", "C:\\a\\very\\long\\path", "now"]


def test_hanging_lines() -> None:
    assert wrap("aaa bbb ccc", 9, "* ") == ["* aaa bbb", "  ccc"]
    assert wrap("aaa bbb ccc", 9, "", "    ") == ["aaa bbb", "    ccc"]


def test_wide_and_combining_characters_take_their_columns() -> None:
    assert width("\u4e2d") == 2
    assert width("e\u0301") == 1
    assert pad("\u4e2d", 4) == "\u4e2d  "
    assert columns([["\u4e2d", "1"], ["abc", "10"]], frozenset({1})) == ["\u4e2d    1", "abc  10"]


@given(st.text(st.sampled_from("ab\u4e2d "), max_size=60), st.integers(3, 40))
def test_cut_fits_and_says_so(text: str, room: int) -> None:
    short = cut(text, room)
    assert width(short) <= room
    assert short == text or short.endswith("...")
