"""What work does to the system, and that belief foresees the same."""

from __future__ import annotations

from functools import cache

import pytest

from faultiso.belief.prospects import prospects
from faultiso.language.load import read_model
from faultiso.language.shipped import shipped_models
from faultiso.model.parts import Check
from faultiso.model.system import Model
from faultiso.session.course import Setting, begun, carry_out


@cache
def model_of(name: str) -> Model:
    return read_model(shipped_models()[name])


@pytest.mark.parametrize("name", list(shipped_models()))
def test_a_check_is_read_where_belief_foresees_it(name: str) -> None:
    """What was advised and what then happens is about the same conditions, the same work before it, the same minutes."""
    model = model_of(name)
    for situation in model.situations.values():
        course = begun(situation.values)
        foreseen = prospects(model, course.timeline, (), course.standing)
        for check in model.checks.values():
            carried = carry_out(model, course, check)
            assert (carried is None) == (check.name not in foreseen)
            if carried is not None:
                prospect = foreseen[check.name]
                assert carried.read.timeline == prospect.timeline
                assert prospect.effort is not None
                assert carried.read.minutes == prospect.effort.minutes


def _disturbing(model: Model) -> Check:
    return next(check for check in model.checks.values() if check.work.disturbs)


def test_a_check_that_disturbs_begins_a_new_moment_after_its_reading() -> None:
    cart = model_of("workshop-power-cart")
    carried = carry_out(cart, begun(cart.start), _disturbing(cart))
    assert carried is not None
    assert carried.after.timeline.now == carried.read.timeline.now + 1
    assert carried.after.timeline.moments[-1].before[0].disturbs


def test_a_check_that_swaps_is_read_after_the_swap() -> None:
    cart = model_of("workshop-power-cart")
    carried = carry_out(cart, begun(cart.situations["at_pressure"].values), cart.checks["swap_transmitter"])
    assert carried is not None
    before = carried.read.timeline.moments[-1].before
    assert before[0].swaps == (("transmitter", "spare"),)
    afterwards = carried.after.timeline.moments[-1].before[0]
    assert afterwards.may_leave and not afterwards.swaps


def test_what_a_check_sets_is_so_when_it_is_read() -> None:
    cart = model_of("workshop-power-cart")
    carried = carry_out(cart, begun(cart.start), cart.checks["fit_test_gauge"])
    assert carried is not None
    assert carried.read.conditions["gauge_fitted"] == "pump_port"


def test_a_repair_clears_its_faults_in_a_moment_of_its_own() -> None:
    cart = model_of("workshop-power-cart")
    carried = carry_out(cart, begun(cart.start), cart.repairs["top_up"])
    assert carried is not None
    last = carried.after.timeline.moments[-1]
    assert last.before[0].cleared == ("reservoir.filled_short",)
    assert last.conditions["run_since_top_up"] == "none"


def test_access_opened_once_stays_open() -> None:
    cart = model_of("workshop-power-cart")
    first = carry_out(cart, begun(cart.start), _disturbing(cart))
    assert first is not None
    again = carry_out(cart, first.after, _disturbing(cart))
    assert again is not None
    opened = sum(cart.access[name].minutes for name in _disturbing(cart).work.access)
    assert opened > 0
    assert first.effort.minutes - again.effort.minutes == opened


def test_setting_what_is_so_already_takes_nothing() -> None:
    cart = model_of("workshop-power-cart")
    course = begun(cart.start)
    carried = carry_out(cart, course, Setting({"mains": "off"}))
    assert carried is not None
    assert carried.after == course


def test_what_cannot_be_set_cannot_be_carried_out() -> None:
    cart = model_of("workshop-power-cart")
    assert carry_out(cart, begun(cart.start), Setting({"fluid_at_start": "cold"})) is None
