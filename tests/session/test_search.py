"""Finding things by a few letters."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from faultiso.session.search import Findable, search

THINGS = (
    Findable("low_pressure_switch_1", "lp switch 1", ("suppressed switch", "LP sw")),
    Findable("pump_1_caution", "pump 1 caution"),
    Findable("pump_12_caution", "pump 12 caution"),
    Findable("pressure_1", "pressure 1"),
    Findable("pressure_2", "pressure 2"),
    Findable("gauge", "test gauge at the pump 1 outlet"),
    Findable("quantity_1", "read quantity 1 on the display"),
)


def names(query: str) -> list[str]:
    return [thing.name for thing in search(query, THINGS)]


def test_all_words_in_any_order() -> None:
    assert names("pump 1 cau") == ["pump_1_caution"]
    assert names("cau 1 pu") == ["pump_1_caution"]
    assert names("quant") == ["quantity_1"]
    assert names("pump moon") == []


def test_titles_names_and_synonyms() -> None:
    assert names("lp swi") == ["low_pressure_switch_1"]
    assert names("pump_12_caution") == ["pump_12_caution"]
    assert names("gauge outlet") == ["gauge"]


def test_digits_are_whole_numbers() -> None:
    assert "pump_12_caution" not in names("pump 1")
    assert names("pump12") == ["pump_12_caution"]


def test_what_begins_so_comes_before_what_holds_it() -> None:
    assert names("press") == ["pressure_1", "pressure_2", "low_pressure_switch_1"]
    assert names("pressed") == ["low_pressure_switch_1"]
    assert names("ress") == ["low_pressure_switch_1", "pressure_1", "pressure_2"]
    assert names("pump") == ["pump_1_caution", "pump_12_caution", "gauge"]


def test_what_is_called_exactly_so_comes_alone() -> None:
    assert names("pressure 1") == ["pressure_1"]
    assert names("lp sw") == ["low_pressure_switch_1"]


def test_nothing_searches_for_nothing() -> None:
    assert names("") == names("  ") == names("--") == names("\x1b[2J") == []


@given(st.text())
def test_any_text_can_be_searched_for_and_gives_the_same_twice(query: str) -> None:
    found = search(query, THINGS)
    assert found == search(query, THINGS)
    assert set(found) <= set(THINGS) and len(set(found)) == len(found)


@given(st.sampled_from(THINGS), st.data())
def test_the_beginning_of_a_title_finds_it(thing: Findable, data: st.DataObject) -> None:
    words = thing.title.split()
    count = data.draw(st.integers(1, len(words)))
    assert thing in search(" ".join(words[:count]), THINGS) or " ".join(words[:count]) == "pressure 1"
