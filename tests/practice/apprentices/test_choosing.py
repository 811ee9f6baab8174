"""How a choice is made: half-splitting against all ways to halve, ends after what is to be put back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from faultiso.casebook.library import case_files
from faultiso.practice.apprentices.apprentice import Apprentice
from faultiso.practice.apprentices.choosing import ENOUGH_LOOKED, HAND_OVER, NOTHING_FOUND, choose
from faultiso.practice.apprentices.mind import Mind
from faultiso.practice.apprentices.room import Room
from faultiso.practice.apprentices.tracing import along_the_flow, halving, open_part
from faultiso.practice.opening import opened
from faultiso.practice.terms import Terms
from faultiso.session.desk import Lines
from faultiso.session.home import Home
from faultiso.session.state import Deed, State
from tests.practice.apprentices import shop

NAME = "red-light"


def mind(way: str = "half-splitting", **knobs: float) -> Mind:
    return Mind(shop.room(NAME), Apprentice(0.0, way, **knobs))  # type: ignore[arg-type]


def begun() -> State:
    return shop.room(NAME).begin(Lines(), Terms("quiet")).desk.state


def test_the_flow_names_every_unit_that_can_fail_once_and_in_its_order() -> None:
    model = shop.read(NAME)[1]
    order = along_the_flow(model)
    assert sorted(order) == sorted(part.name for part in model.components.values() if part.faults)
    assert [name for name in order if name in ("reservoir", "pump", "pressure_filter", "delivery_hose")] == [
        "reservoir", "pump", "pressure_filter", "delivery_hose",
    ]  # fmt: skip


@given(st.sets(st.sampled_from(along_the_flow(shop.read(NAME)[1])), min_size=1))
def test_no_sign_parts_what_is_open_more_evenly_than_the_one_that_is_read(left: set[str]) -> None:
    feels = shop.room(NAME).feels
    signs = [*shop.read(NAME)[1].checks]
    apart = {name: abs(2 * len(left & feels[name]) - len(left)) for name in signs}
    parting = [
        name for name in signs if 0 < apart[name] < len(left) or (apart[name] == 0 and left & feels[name])
    ]
    found = halving(mind(), left, signs)
    assert bool(found) == bool(parting)
    if found:
        assert apart[found] == min(apart[name] for name in parting)
    assert halving(mind(), left, []) == ""


def test_what_is_open_hangs_on_every_wrong_sign_of_the_complaint() -> None:
    who, state = mind(), begun()
    left = open_part(who, state)
    wrong = [item.sign for item in who.news(state) if not item.normal]
    assert wrong and left
    assert all(set(left) <= who.room.feels[sign] for sign in wrong)
    assert len(left) < len(along_the_flow(who.model))


def test_nothing_is_put_to_an_end_before_what_is_set_is_put_back() -> None:
    """With the gauge still on, who restores takes it off first, and who does not hands over."""
    state = fitted(begun())
    assert choose(mind("guessing"), state) == "gauge_fitted"
    assert choose(mind("guessing", unrestored=1.0), state) == HAND_OVER
    conditions = {**state.course.conditions, "gauge_fitted": "none"}
    bare = replace(state.course, standing=replace(state.course.standing, conditions=conditions))
    assert choose(mind("guessing"), replace(state, course=bare)) == NOTHING_FOUND


def fitted(state: State) -> State:
    """With the test gauge on, and so much read as it should be that nothing seems to be wrong."""
    from faultiso.belief.evidence import Reading
    from faultiso.model.expected import expected
    from faultiso.session.course import Setting, carry_out

    carried = carry_out(state.model, state.course, Setting({"gauge_fitted": "pump_port"}))
    assert carried is not None
    course = carried.after
    normal, now = expected(state.model, course.conditions), course.timeline.now
    names = list(state.model.checks)[:ENOUGH_LOOKED]
    readings = tuple(Reading(name, normal[name], moment=now, draw=1) for name in names)
    deeds = tuple(Deed("check", name, 0.0, 0) for name in names)
    return replace(state, course=course, readings=readings, reports=0, deeds=deeds)


def test_a_room_keeps_in_mind_what_it_can_and_the_complaint_always() -> None:
    state = shop.ended("hot-cart", Apprentice(0.0, "guessing", seed=0))
    room: Room = shop.room("hot-cart")
    units = room.units(state)
    assert list(units.values()) == sorted(units.values(), reverse=True)
    assert all(0 <= chance <= 1 for chance in units.values())
    kept = room._kept_in_mind(state)
    assert kept is not None and kept.readings[: state.reports] == state.readings[: state.reports]
    assert kept.course.conditions == state.course.conditions


def test_an_opened_case_can_be_opened_again_from_its_copies(tmp_path: Path) -> None:
    place = Home(tmp_path)
    case, model, terms = opened(place, case_files()[NAME], shop.MODELS, Terms("quiet"))
    assert (terms.case_file, terms.model_file) == (f"{NAME}.yaml", "workshop-power-cart.yaml")
    kept = {path.name for folder in place.kept.iterdir() for path in folder.iterdir()}
    assert kept == {terms.case_file, terms.model_file}
    assert opened(place, case_files()[NAME], shop.MODELS, Terms("quiet")) == (case, model, terms)
