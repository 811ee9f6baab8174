"""Names of titles: always identifiers of the language, each once."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.drafting.naming import Names, identifier


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Pump No. 1, geöffnet", "pump_no_1_geoffnet"),
        ("2nd pump", "part_2nd_pump"),
        ("Größe", "grosse"),
        ("泵", "part"),
        ("spare", "part"),
        ("No", "part"),
        ("", "part"),
        ("a " * 60, "a" + "_a" * 23),
        ("x" * 90, "x" * 48),
    ],
)
def test_examples(title: str, name: str) -> None:
    assert identifier(title, "part") == name


@given(st.lists(st.text(max_size=60), max_size=12))
def test_any_titles_give_different_identifiers(titles: list[str]) -> None:
    names = Names(("phase",))
    given_out = [names.of(title, "part", "{}_state") for title in titles]
    made = [f"{name}_state" for name in given_out]
    assert len({"phase", *given_out, *made}) == 2 * len(titles) + 1
    assert all(re.fullmatch("[a-z][a-z0-9_]{0,79}", name) for name in (*given_out, *made))


def test_names_that_are_made_of_others_are_taken_with_them() -> None:
    names = Names(("b_state",))
    assert names.of("a", "part", "{}_state") == "a"
    assert names.of("a state", "part") == "a_state_2"
    assert names.of("b", "part", "{}_state") == "b_2"
    assert (names.given("no"), names.given("no")) == ("no", "no_2")
