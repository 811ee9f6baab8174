"""What a system shows with nothing wrong, and with exactly the named faults."""

from __future__ import annotations

from dataclasses import replace

from faultiso.model.expected import expected
from faultiso.model.parts import Cause, Intermittent, Response
from tests.drawing.cart import small_cart


def test_nothing_wrong():
    found = expected(small_cart(), {"run": "running"})
    assert found == {"pressure": "normal", "light": "out", "gauge": "normal", "look": "in"}


def test_a_condition_that_is_not_named_is_at_its_start():
    assert expected(small_cart(), {})["pressure"] == "none"


def test_rules_are_certain_and_causes_with_a_chance_are_not():
    running = {"run": "running"}
    assert expected(small_cart(), running, {"pump.sheared"})["gauge"] == "none"
    assert expected(small_cart(), running, {"pump.sheared"})["light"] == "lit"
    assert expected(small_cart(), running, {"pump.worn"})["pressure"] == "normal"


def test_the_first_row_that_matches_wins():
    found = expected(small_cart(), {"run": "running"}, {"pump.sheared", "lamp.dead"})
    assert found["light"] == "out"


def given_chances(chances):
    model = small_cart()
    cause = Cause("pump.worn", (Response({"run": ("running",)}, {"present": chances}),))
    quantity = replace(model.quantities["pressure"], causes=(cause,))
    return expected(replace(model, quantities={"pressure": quantity}), {"run": "running"}, {"pump.worn"})


def test_a_cause_gives_the_highest_level_it_is_sure_to_reach():
    assert given_chances({"none": 1.0})["pressure"] == "none"
    assert given_chances({"low": 0.7, "none": 0.3})["pressure"] == "low"
    assert given_chances({"low": 0.7, "none": 0.2})["pressure"] == "normal"


def test_an_intermittent_fault_acts_where_it_always_shows():
    model = small_cart()
    for share, shown in ((1.0, "none"), (0.7, "normal")):
        pump = model.components["pump"]
        sheared = replace(pump.faults[1], intermittent=Intermittent(({"run": ("running",)},), share))
        changed = replace(
            model, components={**model.components, "pump": replace(pump, faults=(pump.faults[0], sheared))}
        )
        assert expected(changed, {"run": "running"}, {"pump.sheared"})["pressure"] == shown
