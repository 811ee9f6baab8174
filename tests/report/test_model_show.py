"""Pages about a model: structure, one part, what is normal, when a light is silent."""

from __future__ import annotations

from dataclasses import replace

import pytest

from faultiso.base.problems import UsageError
from faultiso.model.parts import Indication, Rule
from faultiso.report.page import KeyValues, Page, Picture, Table
from faultiso.report.pages.model_show import (
    show_inhibits,
    show_model,
    show_normal,
    show_part,
    show_pictures,
)
from faultiso.report.terminal import Look, render
from tests.drawing.cart import small_cart


def text(page: Page, width: int = 80) -> str:
    return render(page, Look(width=width))


def pairs(page: Page) -> dict[str, str]:
    return {key: value for block in page.blocks if isinstance(block, KeyValues) for key, value in block.pairs}


def test_the_structure_names_everything(golden):
    shown = text(show_model(small_cart()))
    golden("model-show.txt", shown)
    for name in (
        *small_cart().components,
        *small_cart().checks,
        "parked",
        "pressure",
        "light",
        "replace_pump",
    ):
        assert name in shown
    assert "not approved maintenance data" in shown


def test_a_quantity_tells_ranges_rows_causes_and_what_sees_it():
    page = show_part(small_cart(), "pressure")
    assert "pressure, psi: normal 1,900-2,100, low 300-1,850, none 0-50" in text(page)
    assert pairs(page) == {
        "none when": "run stopped; or pump.sheared",
        "low from": "pump.worn (0.9), relief.weak (0.7), anything else (0.001)",
        "seen by": "light (not with run stopped), gauge 8 min",
    }


def test_rows_whose_order_matters_are_a_table():
    pressure = small_cart().quantities["pressure"]
    mixed = replace(
        pressure,
        rules=(
            Rule({"run": ("stopped",)}, "none"),
            Rule({"pump.worn": ("absent",)}, "normal"),
            Rule(then="none"),
        ),
    )
    page = show_part(replace(small_cart(), quantities={"pressure": mixed}), "pressure")
    assert lines(page) == [
        ("1", "run stopped", "none"),
        ("2", "no pump.worn", "normal"),
        ("3", "otherwise", "none"),
    ]
    plain = replace(pressure, rules=(*pressure.rules, Rule(then="normal")))
    assert (
        pairs(show_part(replace(small_cart(), quantities={"pressure": plain}), "pressure"))["otherwise"]
        == "normal"
    )


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("pump", {"fed by": "tank (fluid), motor (shaft)", "repairs": "replace_pump 180 min"}),
        ("pump.worn", {"rate": "1 per million flight hours", "acts on": "pressure"}),
        ("gauge", {"reads": "pressure", "takes": "8 min", "done with": "run running", "misses": "0.01"}),
        ("light", {"memory": "latched: stays until it is reset", "delay": "5 s"}),
        ("run", {"values": "stopped, running", "start": "stopped", "decides": "pressure, light"}),
        ("at_work", {"run": "running"}),
        ("replace_pump", {"of": "gear pump with a long title that wants two lines"}),
    ],
)
def test_every_kind_of_part_can_be_shown(name, expected):
    found = pairs(show_part(small_cart(), name))
    assert {key: found.get(key) for key in expected} == expected


def test_unknown_names_come_with_the_nearest():
    for build, name, near in (
        (show_part, "presure", "pressure"),
        (show_normal, "at work", "at_work"),
        (show_inhibits, "ligth", "light"),
    ):
        with pytest.raises(UsageError, match=f"nearest: {near}"):
            build(small_cart(), name)


def lines(page: Page) -> list[tuple[str, ...]]:
    return [row for block in page.blocks if isinstance(block, Table) for row in block.rows]


def test_normal_at_work_and_silent_when_parked():
    assert lines(show_normal(small_cart(), "at_work")) == [("low pressure light", "out", "")]
    assert lines(show_normal(small_cart(), "parked")) == [
        ("low pressure light", "out", "silent here: tells nothing")
    ]


def test_the_table_of_a_light_marks_silent_rows():
    assert lines(show_inhibits(small_cart())) == [
        ("1", "lamp.dead", "out", "quiet by a fault"),
        ("2", "run stopped", "out", "silent: tells nothing"),
        ("3", "pressure low or none", "lit", ""),
        ("4", "otherwise", "out", ""),
    ]


def test_a_light_silenced_through_a_quantity_is_told_too():
    """A stopped motor makes no pressure; a rush that is not heard then tells nothing."""
    rush = Indication(
        "rush", "rush", "sound", ("silent", "heard"),
        (Rule({"pressure": ("none",)}, "silent"), Rule({"relief.weak": ("present",)}, "heard"), Rule(then="silent")),
    )  # fmt: skip
    plain = replace(
        rush,
        name="plain",
        title="plain",
        rules=(Rule({"relief.weak": ("present",)}, "heard"), Rule(then="silent")),
    )
    model = replace(small_cart(), indications={"rush": rush, "plain": plain})
    page = show_inhibits(model)
    assert lines(page)[0] == ("1", "pressure none", "silent", "silent: tells nothing")
    assert "Silent, and telling nothing: parked." in text(page)
    assert "plain (plain)" in text(page) and "plain" not in [row[1] for row in lines(page)]
    assert lines(show_normal(model, "at_work"))[0] == ("rush", "silent", "")


def test_a_row_that_good_pressure_decides_does_not_silence():
    steady = Indication(
        "needle", "needle", "gauge", ("steady", "shaking"),
        (Rule({"pressure": ("normal",)}, "steady"), Rule(then="shaking")),
    )  # fmt: skip
    model = replace(small_cart(), indications={"needle": steady})
    assert lines(show_normal(model, "at_work")) == [("needle", "steady", "")]


def test_pictures_say_in_words_what_they_draw():
    page = show_pictures(small_cart(), "pump")
    flow, acts = (block for block in page.blocks if isinstance(block, Picture))
    assert "motor feeds pump (shaft)" in flow.words and flow.svg.startswith("<svg")
    assert "pump.worn acts on pressure" in acts.words and "light" not in acts.words


@pytest.mark.parametrize("width", [40, 80, 120])
def test_pages_fit_the_screen(width):
    model = small_cart()
    for page in (
        show_model(model),
        show_part(model, "pressure"),
        show_inhibits(model),
        show_normal(model, "parked"),
    ):
        assert all(len(line) <= width for line in text(page, width).splitlines())
