"""Facts of the trade on small models written for them. Each of them: common practice, no source.

They describe hydraulic power of transport aircraft in general, in our own words, and no aircraft.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest

from faultiso.belief.evidence import Reading
from faultiso.language.load import load
from faultiso.model.effort import reach
from faultiso.model.system import Model
from faultiso.network.ground import Grounding

from .frozen import joint
from .small import at, begin, believe

MODELS = Path(__file__).parent / "models"


@cache
def trade(name: str) -> Model:
    loaded = load(MODELS / f"{name}.yaml")
    assert loaded.model is not None, "\n".join(str(problem) for problem in loaded.errors)
    return loaded.model


def shows(model: Model, name: str, faults: Iterable[str] = (), **settings: str) -> str:
    """What a quantity or indication shows for certain, with just these faults, in these conditions."""
    ground, timeline = Grounding(model), begin(model, **settings)
    node = ground.level(name, timeline, 0)
    if node.constant:
        return node.labels[0]
    coins = {fault: ground.present(fault, timeline) for fault in model.faults}
    variables = [node.variable, *(coin.variable for coin in coins.values())]
    network, new = ground.builder.freeze(variables)
    rows, weights = joint(network, [new[v] for v in dict.fromkeys(variables)])
    column = {v: i for i, v in enumerate(dict.fromkeys(variables))}
    for fault, coin in coins.items():
        present = [coin.labels[state] == "present" for state in rows[:, column[coin.variable]]]
        keep = [there == (fault in faults) for there in present]
        rows, weights = rows[keep], weights[keep]
    (shown,) = {node.labels[state] for state in rows[weights > 0, column[node.variable]]}
    return str(shown)


RUNNING = {"engine_1": "running", "engine_2": "running"}
UPSETS = ["line.leaking", "air_line.open", "pump_1.hot_bearing", "pump_1.worn"]


@pytest.mark.parametrize("fault", UPSETS)
def test_what_lights_a_pump_caution(fault: str) -> None:
    """Low level, low reservoir air, overheat, low outlet pressure; a message comes with it."""
    pumps = trade("pump_cautions")
    assert shows(pumps, "pump_1_caution", **RUNNING) == "out"
    assert shows(pumps, "pump_1_caution", [fault], **RUNNING) == "lit"
    assert shows(pumps, "pump_1_message", [fault], **RUNNING) == "lit"


def test_an_engine_driven_pump_needs_its_engine() -> None:
    pumps = trade("pump_cautions")
    assert shows(pumps, "outlet_1", engine_1="running") == "normal"
    assert shows(pumps, "outlet_1", engine_1="stopped", engine_2="running") == "low"


@pytest.mark.parametrize(("fault", "light"), zip(UPSETS, ["lit", "lit", "lit", "out"], strict=True))
def test_only_the_low_pressure_cause_is_inhibited_with_the_engine_stopped(fault: str, light: str) -> None:
    assert shows(trade("pump_cautions"), "pump_1_caution", [fault], engine_1="stopped") == light


def test_an_inhibited_low_pressure_cause_is_no_evidence() -> None:
    """With the engine stopped nothing that the light shows moves the belief in a worn pump."""
    pumps = trade("pump_cautions")
    before = believe(pumps, begin(pumps)).faults["pump_1.worn"]
    out = believe(pumps, begin(pumps), Reading("pump_1_caution", outcome="out"))
    assert out.faults["pump_1.worn"] == pytest.approx(before, rel=1e-12)


@pytest.mark.parametrize("place", ["ground", "airborne"])
@pytest.mark.parametrize("engine_1", ["stopped", "running"])
@pytest.mark.parametrize("engine_2", ["stopped", "running"])
def test_the_electric_pump_is_inhibited_on_ground_with_both_engines_stopped(
    place: str, engine_1: str, engine_2: str
) -> None:
    pumps = trade("pump_cautions")
    settings = {"place": place, "engine_1": engine_1, "engine_2": engine_2}
    inhibited = (place, engine_1, engine_2) == ("ground", "stopped", "stopped")
    worn = shows(pumps, "electric_caution", ["electric_pump.worn"], **settings)
    assert worn == ("out" if inhibited else "lit")
    for fault in ("line.leaking", "air_line.open", "electric_pump.hot_bearing"):
        assert shows(pumps, "electric_caution", [fault], **settings) == "lit"


@pytest.mark.parametrize(("fault", "light"), zip(UPSETS, ["out", "out", "lit", "out"], strict=True))
def test_selecting_a_pump_off_puts_its_caution_out_except_for_overheat(fault: str, light: str) -> None:
    shown = shows(trade("pump_cautions"), "pump_1_caution", [fault], **RUNNING, pump_1_selector="off")
    assert shown == light


def test_a_pump_without_a_caution_is_known_from_system_pressure_alone() -> None:
    pumps = trade("pump_cautions")
    values = believe(pumps, begin(pumps, **RUNNING), Reading("pump_1_caution", outcome="lit")).values
    before = believe(pumps, begin(pumps, **RUNNING)).faults["pump_3.worn"]
    for sign in pumps.signs():
        for outcome in values[sign.name].outcomes if sign.name in values else ():
            found = believe(pumps, begin(pumps, **RUNNING), Reading(sign.name, outcome=outcome))
            moved = found.faults["pump_3.worn"] != pytest.approx(before, rel=1e-9)
            assert moved == (sign.name == "system_3_gauge")


@pytest.mark.parametrize(("psi", "running"), [(300, False), (440, False), (560, True), (900, True)])
def test_the_transfer_unit_starts_above_500_psi_of_difference(psi: float, running: bool) -> None:
    unit = trade("transfer_unit")
    found = believe(unit, begin(unit), Reading("difference_gauge", number=psi))
    healthy = 1 - found.faults["unit.seized"]
    expected = healthy if running else 0
    true = found.values["whine"].outcomes["running"]
    misread = unit.indications["whine"].misread
    assert true == pytest.approx(expected * (1 - misread) + (1 - expected) * misread, abs=1e-6)


def test_the_transfer_unit_rests_in_the_first_start_and_tests_itself_in_the_second() -> None:
    unit = trade("transfer_unit")
    for pressure in ([], ["pump_1.worn"]):
        assert shows(unit, "transfer", pressure, engine_start="first") == "resting"
        assert shows(unit, "transfer", pressure, engine_start="second") == "running"
    assert shows(unit, "transfer", ["unit.seized"], engine_start="second") == "resting"


def test_selecting_the_transfer_unit_off_closes_its_valves() -> None:
    unit = trade("transfer_unit")
    assert shows(unit, "valves", selector="off") == "closed"
    for start in ("none", "first", "second"):
        assert shows(unit, "transfer", ["pump_1.worn"], selector="off", engine_start=start) == "resting"


def test_the_transfer_caution_is_about_the_reservoirs() -> None:
    unit = trade("transfer_unit")
    about_reservoirs = ("line_1.leaking", "air_line_2.open", "reservoir_2.overheating")
    assert [shows(unit, "transfer_caution", [fault]) for fault in about_reservoirs] == ["lit"] * 3
    assert shows(unit, "transfer_caution", ["unit.seized"]) == "out"
    off = [shows(unit, "transfer_caution", [fault], selector="off") for fault in about_reservoirs]
    assert off == ["out", "out", "lit"]


def test_the_ram_air_pump_supplies_2500_psi() -> None:
    ram = trade("ram_air")
    extended = begin(ram, place="airborne", turbine="extended_by_selector")
    found = believe(ram, extended, Reading("pressure_gauge", number=2500))
    assert found.faults["turbine_pump.seized"] == pytest.approx(0, abs=1e-9)
    found = believe(ram, extended, Reading("pressure_gauge", number=40))
    assert found.faults["turbine_pump.seized"] == pytest.approx(1, abs=1e-9)


def test_extending_the_ram_air_turbine_cannot_be_undone_in_flight() -> None:
    ram = trade("ram_air")
    stowed = ({"turbine": ("stowed",)},)
    assert reach(ram, stowed, at(ram, place="airborne", turbine="extended_by_selector")) is None
    assert reach(ram, stowed, at(ram, place="ground", turbine="extended_by_selector")) is not None


def test_extending_it_by_selector_gives_pressure_and_no_emergency_generator() -> None:
    ram = trade("ram_air")
    by_selector = {"place": "airborne", "turbine": "extended_by_selector"}
    assert shows(ram, "system_pressure", **by_selector) == "ram_air"
    assert shows(ram, "emergency_generator", **by_selector) == "off"


def test_a_guarded_selector_takes_a_second_person() -> None:
    ram = trade("ram_air")
    found = reach(ram, ({"turbine": ("extended_by_selector",)},), at(ram, place="airborne"))
    assert found is not None
    assert [step.change.people for step in found[0]] == [2]


@pytest.mark.parametrize("place", ["ground", "airborne"])
@pytest.mark.parametrize("engine", ["stopped", "running"])
@pytest.mark.parametrize("override", ["normal", "maintenance"])
def test_an_electric_pump_in_automatic(place: str, engine: str, override: str) -> None:
    """Runs in flight, and on ground while an engine runs or by the maintenance override; needs its bus."""
    pump = trade("electric_pump")
    settings = {"place": place, "engine": engine, "override": override}
    runs = place == "airborne" or engine == "running" or override == "maintenance"
    assert shows(pump, "pump", **settings) == ("running" if runs else "resting")
    assert shows(pump, "motor_supply", **settings, selector="off") == "none"
    assert shows(pump, "pump", **settings, ac_bus="dead") == "resting"


def test_moving_a_door_valve_starts_the_pump_and_inhibits_most_users() -> None:
    pump = trade("electric_pump")
    assert shows(pump, "pump", door_valve="moved") == "running"
    assert shows(pump, "flaps", engine="running") == "moving"
    assert shows(pump, "flaps", engine="running", door_valve="moved") == "still"
    assert shows(pump, "brakes", engine="running", door_valve="moved") == "pressure"
