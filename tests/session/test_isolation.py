"""Whole isolations on the shipped cart, with planted faults and a colleague who answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import pytest

from faultiso.language.load import read_model
from faultiso.language.shipped import shipped_models
from faultiso.model.expected import expected
from faultiso.model.system import Model
from faultiso.session.ending import NO_FAULT_FOUND, RECTIFIED, REFERRED
from faultiso.session.isolation import Isolation, Lines, begin, go_on
from faultiso.session.replies import Said, Warned
from faultiso.session.summary import summary
from tests.session.colleague import Colleague, isolated, likely_as_certain


@pytest.fixture(scope="session")
def cart() -> Model:
    return read_model(shipped_models()["workshop-power-cart"])


@dataclass(frozen=True)
class Planted:
    """What is wrong, where it was seen, what is reported, and how the work has to end."""

    faults: tuple[str, ...]
    situation: str
    reports: tuple[str, ...]
    ends: tuple[str, ...] = (RECTIFIED,)
    repaired: tuple[str, ...] = ()
    others: str = "2"
    more: dict[str, object] = field(default_factory=dict)


def _bar(sign: str, truth: str) -> str:
    """The gauge is read in bar."""
    return "102 bar" if sign == "gauge_reading" and truth == "sagging" else ""


SINGLE = {
    "a switch that lies": Planted(
        ("low_pressure_switch.stuck_low",), "at_pressure", ("low pressure light",), repaired=("replace_low_pressure_switch",)
    ),
    "a worn pump, read in another unit": Planted(
        ("pump.worn",), "in_use", ("pressure gauge", "pressure display"), repaired=("replace_pump",), more={"number": _bar}
    ),
    "a torn coupling": Planted(
        ("coupling.torn",), "at_pressure", ("pressure gauge", "low pressure light"), repaired=("replace_coupling",)
    ),
    "no power in the control line": Planted(
        ("emergency_stop.contact_open",), "unloaded_run", ("run light", "sound of the motor"), repaired=("replace_emergency_stop",)
    ),
    "a dark lamp where it should be lit": Planted(
        ("low_pressure_lamp.dead",), "unloaded_run", ("low pressure light",), repaired=("replace_lamp",)
    ),
    "two faults at once": Planted(
        ("display.dead", "reservoir.filled_short"), "in_use", ("pressure display", "low level light"), repaired=("replace_display", "top_up")
    ),
    "two faults, one electric": Planted(
        ("fan.failed", "level_switch.stuck_low"), "long_run", ("sound of the cooler fan", "low level light", "run light"),
        repaired=("replace_fan", "replace_level_switch"),
    ),
    "a report that was wrong": Planted(
        (), "at_pressure", ("low pressure light", "pressure gauge", "pressure display"), (NO_FAULT_FOUND, REFERRED),
        others="1", more={"lies": {"low_pressure_light": "lit"}},
    ),
    "nothing is known of anything": Planted(
        ("pump.worn",), "in_use", ("pressure gauge", "how the bench cylinder moves"), (REFERRED, "handed over with open items"),
        more={"always_unknown": True},
    ),
    "a leak whose level is remembered until it is topped up": Planted(
        ("pump.shaft_seal",), "in_use", ("fluid under the cart", "low level light"), repaired=("replace_pump", "top_up")
    ),
    "heat that leaves a cut-out latched": Planted(
        ("fan_thermostat.stays_open",), "long_run", ("run light", "overheat light"), repaired=("replace_thermostat", "reset_cutout")
    ),
    "a gauge that stays fitted is restored": Planted(
        ("compensator.set_low",), "at_pressure", ("pressure gauge", "pressure display"), repaired=("replace_compensator",)
    ),
}  # fmt: skip


WHINCHAT = {  # reported is whatever shows there
    "a bus that is lost": (("dc_bus_1.lost",), "parked"),
    "a caution that is inhibited when it is looked at": (("pump_2.drive_sheared",), "at_idle"),
}  # fmt: skip


@pytest.mark.parametrize("name", WHINCHAT)
def test_a_planted_fault_of_the_aircraft_is_worked_to_its_end(name: str) -> None:
    model = read_model(shipped_models()["whinchat-hydraulics"])
    faults, situation = WHINCHAT[name]
    sure = likely_as_certain(model)
    there = model.situations[situation].values
    normal, shown = expected(sure, there), expected(sure, there, faults)
    wrong = [sign for sign in model.indications if normal[sign] != shown[sign]][:3]
    reports = [model.indications[sign].title for sign in wrong]
    colleague = Colleague(model, set(faults), situation, reports)
    session = isolated(model, colleague)
    assert session.desk.state.end is not None
    assert session.desk.state.end.how == RECTIFIED
    assert not colleague.faults
    _summary_says_what_happened(session)


@pytest.mark.parametrize("name", SINGLE)
def test_a_planted_fault_is_worked_to_its_end(name: str, cart: Model) -> None:
    planted = SINGLE[name]
    colleague = Colleague(
        cart,
        set(planted.faults),
        planted.situation,
        planted.reports,
        planted.others,
        **planted.more,  # type: ignore[arg-type]
    )
    session = isolated(cart, colleague)
    end = session.desk.state.end
    assert end is not None
    assert end.how in planted.ends
    made = {repair.name for repair in session.desk.state.repairs}
    assert set(planted.repaired) <= made
    if end.how == RECTIFIED:
        assert not colleague.faults
        assert not session.desk.state.unrestored
    _summary_says_what_happened(session)


def test_only_what_is_left_is_repaired_after_a_proof_that_failed(cart: Model) -> None:
    """One of two faults is gone: the other one is next, and the reset of what it latched comes last."""
    planted = SINGLE["two faults, one electric"]
    colleague = Colleague(cart, set(planted.faults), planted.situation, planted.reports)
    made = [repair.name for repair in isolated(cart, colleague).desk.state.repairs]
    assert made == ["replace_level_switch", "replace_fan", "reset_cutout"]


def test_a_slip_that_was_settled_is_not_held_against_the_rest(cart: Model) -> None:
    planted = SINGLE["a report that was wrong"]
    colleague = Colleague(
        cart, set(), planted.situation, planted.reports, "1", lies={"low_pressure_light": "lit"}
    )
    session = isolated(cart, colleague)
    assert session.desk.state.end is not None
    assert session.desk.state.end.how == NO_FAULT_FOUND
    assert session.desk.belief.unexplained < 0.5


def test_conditions_are_not_changed_to_and_fro_without_a_look() -> None:
    model = read_model(shipped_models()["whinchat-hydraulics"])
    faults = {"pump_3_contactor.aux_contact", "system_2.wrong_fluid"}
    reports = [
        model.indications[s].title for s in ("pump_3_status", "quantity_2_reading", "fluid_on_ground_right")
    ]
    session = Colleague(model, faults, "parked", reports).work(begin(model, Lines()), most=60)
    deeds = [deed.what for deed in session.desk.state.deeds]
    assert "set" in deeds
    assert all(pair != ("set", "set") for pair in pairwise(deeds))


def _summary_says_what_happened(session: Isolation) -> None:
    found = summary(session.desk)
    assert sum(deed.minutes for deed in found.deeds) == pytest.approx(found.minutes)
    assert found.minutes == pytest.approx(session.desk.state.minutes)
    assert found.next_shift


def test_who_goes_on_sees_every_caution_before_the_step(cart: Model) -> None:
    """A session that was left before "ready" says again what is about to be done, with its cautions in full."""
    log = Lines()
    first = begin(cart, log)
    for line in ("running at pressure, bench at rest", "low pressure light", "lit", "", "2", "", ""):
        first.take(line)
    assert first.question().name == "ready"
    assert not first.question().before
    told = first.desk.state.told
    second = go_on(cart, log)
    said, warned = second.question().before
    assert isinstance(said, Said) and "about to be done" in said.text
    assert isinstance(warned, Warned) and set(warned.full) == {name for name, _ in told}
    second.take("ready")
    assert second.desk.state.told == told
    assert second.question().name == "outcome"
