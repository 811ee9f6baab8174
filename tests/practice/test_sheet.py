"""The data sheet: every part of every model has one, and it is the same whatever is hidden."""

from __future__ import annotations

import pytest

from faultiso.base.problems import UsageError
from faultiso.model.expected import expected
from faultiso.model.system import Model
from faultiso.practice.sheet import MOST_FOUND, sheet
from faultiso.session import words
from faultiso.session.replies import Facts, Grid, Listing
from tests.practice.frame import CART, ONE_FOR_EACH_MODEL, case_of, changed, said, started

MODELS = {case_of(name)[1].name: case_of(name)[1] for name in ONE_FOR_EACH_MODEL}


@pytest.mark.parametrize("model", MODELS.values(), ids=list(MODELS))
def test_every_part_has_its_sheet_by_its_title(model: Model) -> None:
    for group in (model.indications, model.components, model.checks, model.conditions):
        for part in group.values():
            found = sheet(model, part.title)
            assert isinstance(found[0], Facts | Listing)
            if isinstance(found[0], Facts):
                assert found[0].pairs and all(value for _, value in found[0].pairs)


@pytest.mark.parametrize("model", MODELS.values(), ids=list(MODELS))
def test_what_a_light_shows_with_nothing_wrong_stands_there_for_every_situation(model: Model) -> None:
    for name, sign in model.indications.items():
        found = sheet(model, sign.title)[0]
        if not isinstance(found, Facts):
            continue
        normal = [value for key, value in found.pairs if key == "with nothing wrong"]
        for situation in model.situations.values():
            shown = words.outcome_words(sign, expected(model, situation.values)[name])
            line = next(
                text for text in normal if situation.title in text or text.endswith("in every situation")
            )
            assert line.startswith(shown)


def test_where_a_light_can_show_nothing_else_it_says_why() -> None:
    pairs = sheet(MODELS["workshop-power-cart"], "low level light")[0].pairs  # type: ignore[union-attr]
    normal = [value for key, value in pairs if key == "with nothing wrong"]
    assert "it can show nothing else (mains isolator: off): parked, mains off" in normal[0]
    assert "nothing else" not in normal[1] and "mains on, motor stopped" in normal[1]


def test_ranges_and_units_stand_there() -> None:
    pairs = dict(sheet(MODELS["workshop-power-cart"], "tank temperature gauge")[0].pairs)  # type: ignore[union-attr]
    assert pairs["can show"] == "cool 8 to 44 C; warm 45 to 66 C; hot 72 to 93 C"


def test_letters_that_fit_much_give_a_list_and_those_that_fit_nothing_a_sentence() -> None:
    found = sheet(MODELS["whinchat-hydraulics"], "p")[0]
    assert isinstance(found, Listing) and len(found.rows) == MOST_FOUND and "more; data, then" in found.hint
    with pytest.raises(UsageError, match="has nothing called"):
        sheet(MODELS["workshop-power-cart"], "zzz")
    assert "low-pressure light" in said(started(), "data")


@pytest.mark.parametrize("line", ["data", "data fan", "data overheat light", "data fan thermostat"])
def test_the_sheet_costs_nothing_and_hangs_on_nothing_hidden(line: str) -> None:
    one, other = started(), started(changed(CART, truth=("fan.failed",), seed=99))
    assert said(one, line) == said(other, line)
    assert one.desk.state.minutes == 0 and one.desk.log.entries[-1].event == "placed"


def test_all_checks_and_all_units_stand_in_a_list() -> None:
    model = MODELS["workshop-power-cart"]
    (checks,) = sheet(model, "checks")
    assert isinstance(checks, Grid)
    assert [row[0] for row in checks.rows] == [check.title for check in model.checks.values()]
    (units,) = sheet(model, "Units")
    assert isinstance(units, Grid)
    assert {row[0] for row in units.rows} == {c.title for c in model.components.values() if c.replaceable}
