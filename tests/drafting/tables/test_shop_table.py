"""A table as a shop fills it in, of the power cart: the model of it beside the shipped model of the same cart."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.belief.reasoner import Reasoner
from faultiso.drafting.comparing.difference import difference
from faultiso.drafting.tables.draft import draft_text
from faultiso.drafting.tables.fmea_model import model_of_modes
from faultiso.drafting.tables.modes import read_modes
from faultiso.drafting.tables.rates import Rates
from faultiso.language.load import load_text, read_model
from faultiso.language.shipped import find_model
from faultiso.model.system import Model

TABLE = Path(__file__).parent / "data" / "power-cart-modes.csv"


@pytest.fixture(scope="module")
def shop() -> Model:
    made = model_of_modes(read_modes(TABLE, Rates()), "cart")
    loaded = load_text(draft_text(made.draft, "cart.schema.json"))
    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.model is not None
    return loaded.model


def test_all_faults_of_the_cart_are_there_with_their_rates(shop: Model) -> None:
    cart = read_model(find_model("workshop-power-cart"))
    found = difference(cart, shop)
    names = {name: found.names.get(name, name) for name in cart.faults}
    assert sorted(names.values()) == sorted(shop.faults) and len(names) == 33
    for old, new in names.items():
        assert shop.faults[new].rate == pytest.approx(cart.faults[old].rate, rel=0.01)
    assert all(fault.severity for fault in shop.faults.values())


def test_it_isolates_much_as_the_cart_does(shop: Model) -> None:
    reasoner = Reasoner(shop)
    sagging = reasoner.believe({"pressure_gauge": "sags in flow"}, situation="cylinder_cycled")
    order = sorted(sagging.faults, key=lambda name: -sagging.faults[name])
    assert order[0] == "piston_pump.worn"
    assert set(order[:4]) == {
        "piston_pump.worn",
        "pressure_filter.element_clogged",
        "suction_strainer.clogged",
        "relief_valve.opens_too_early",
    }
    button = {"pressure_gauge": "sags in flow", "clogging_button_of_the_pressure_filter": "out"}
    clogged = reasoner.believe(button, situation="cylinder_cycled").faults
    assert max(clogged, key=lambda name: clogged[name]) == "pressure_filter.element_clogged"
    hot = reasoner.believe({"overheat_light": "lit"}, situation="in_use_over_20_minutes").faults
    assert max(hot, key=lambda name: hot[name]) == "cooler_fan.fan_motor_failed"
