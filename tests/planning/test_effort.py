"""What a piece of work takes from where things stand."""

from __future__ import annotations

import pytest

from faultiso.model.effort import Effort, Standing, effort, reach, steps_between
from faultiso.network.timeline import matches

from ..models.shipped import NAMES, model_of
from ..semantics import small

SHOP = small.model("""
    conditions:
      bus: {values: [dead, live], to: {live: {minutes: 4, who: electrician, hazards: [live_parts]}}}
      chocks: {values: [removed, in_place], to: {in_place: {minutes: 2}}}
      motor:
        values: [stopped, running]
        to:
          running: {minutes: 8, people: 2, needs: {bus: live, chocks: in_place}, hazards: [noise],
                    equipment: [headset], access: [bay_door]}
          stopped: {minutes: 1}
      cart: {values: [off, on], to: {on: {minutes: 15, people: 3}}}
      gauge: {values: [none, fitted]}
      place: {values: [ground, airborne], settable: no}
      oven: {values: [off, on], to: {on: {minutes: 1, needs: {place: airborne}}}}
    zones: {bay: {title: bay}}
    access: {bay_door: {title: door, zone: bay, minutes: 6}, tail_panel: {title: panel, zone: bay, minutes: 3}}
    equipment: {headset: {title: headset, minutes: 1}, test_gauge: {title: gauge, minutes: 5}}
    people: {electrician: {title: electrician}, fitter: {title: fitter}}
    cautions:
      noise: {title: noise, text: loud}
      live_parts: {title: live parts, text: live}
    components: {pump: {faults: {worn: {rate: 0.1}}}}
    checks:
      plain: {reads: pump.worn, minutes: 3}
      at_run: {reads: pump.worn, minutes: 20, people: 1, who: fitter, needs: {motor: running}, hazards: [noise]}
      either: {reads: pump.worn, minutes: 20, needs: [{motor: running}, {cart: on}]}
      either_later: {reads: pump.worn, minutes: 20, needs: [{cart: on}, {motor: running}]}
      both: {reads: pump.worn, minutes: 20, needs: {motor: running, cart: on}}
      behind_door: {reads: pump.worn, minutes: 10, access: [bay_door, tail_panel], equipment: [test_gauge],
                    sets: {gauge: fitted}}
      behind_door_running: {reads: pump.worn, minutes: 10, access: bay_door, needs: {motor: running}}
      in_the_air: {reads: pump.worn, minutes: 1, needs: {place: airborne}}
      in_the_oven: {reads: pump.worn, minutes: 1, needs: {oven: on}}
""")


def taken(check: str, opened: str = "", fetched: str = "", **settings: str) -> Effort:
    standing = Standing(small.at(SHOP, **settings), frozenset(opened.split()), frozenset(fetched.split()))
    found = effort(SHOP, SHOP.checks[check].work, standing)
    assert found is not None
    return found


def test_work_without_needs_takes_its_own_minutes() -> None:
    found = taken("plain")
    assert (found.minutes, found.man_minutes, found.own_minutes, found.steps) == (3, 3, 3, ())


def test_needs_of_needs_come_first() -> None:
    found = taken("at_run")
    assert [(step.condition, step.value) for step in found.steps] == [
        ("bus", "live"),
        ("chocks", "in_place"),
        ("motor", "running"),
    ]
    assert found.minutes == 20 + 4 + 2 + 8 + 6 + 1
    assert found.man_minutes == 20 + 4 + 2 + 8 * 2 + 6 + 1
    assert (found.own_minutes, found.people) == (20, 2)
    assert found.hazards == ("live_parts", "noise")
    assert set(found.who) == {"fitter", "electrician"}
    assert found.opens == ("bay_door",)
    assert found.fetches == ("headset",)


def test_what_is_there_already_costs_nothing() -> None:
    assert taken("at_run", bus="live", chocks="in_place").minutes == 20 + 8 + 6 + 1
    assert taken("at_run", motor="running").minutes == 20
    assert taken("at_run", "bay_door", "headset").minutes == 20 + 4 + 2 + 8
    assert taken("behind_door", "bay_door").minutes == 10 + 3 + 5
    assert taken("behind_door", "bay_door tail_panel", "test_gauge").minutes == 10


def test_the_same_door_is_opened_once() -> None:
    found = taken("behind_door_running")
    assert found.opens == ("bay_door",)
    assert found.minutes == 10 + 6 + 1 + 4 + 2 + 8


@pytest.mark.parametrize("check", ["either", "either_later"])
def test_of_alternatives_the_quicker_one_is_taken(check: str) -> None:
    assert [step.condition for step in taken(check).steps] == ["bus", "chocks", "motor"]
    assert [step.condition for step in taken(check, cart="on").steps] == []
    assert taken(check, cart="on").minutes == 20


def test_all_needs_of_one_alternative_are_met() -> None:
    found = taken("both")
    assert {step.condition for step in found.steps} == {"bus", "chocks", "motor", "cart"}
    assert found.minutes == 20 + 14 + 15 + 7
    assert found.people == 3


def test_the_standing_during_the_work_is_told() -> None:
    found = taken("behind_door", chocks="in_place")
    assert found.standing.conditions == small.at(SHOP, chocks="in_place", gauge="fitted")
    assert found.standing.opened == {"bay_door", "tail_panel"}
    assert found.standing.fetched == {"test_gauge"}
    again = effort(SHOP, SHOP.checks["behind_door"].work, found.standing)
    assert again is not None
    assert again.minutes == 10


@pytest.mark.parametrize("check", ["in_the_air", "in_the_oven"])
def test_what_nobody_can_set_cannot_be_reached(check: str) -> None:
    assert effort(SHOP, SHOP.checks[check].work, Standing(SHOP.start)) is None
    assert taken(check, place="airborne").own_minutes == 1


def test_what_cannot_be_reached_is_not_offered() -> None:
    checks = {check.name for check in small.Reasoner(SHOP).believe({}).rank_checks()}
    assert checks == set(SHOP.checks) - {"in_the_air", "in_the_oven"}


def test_needs_in_a_circle_end() -> None:
    model = small.model("""
        conditions:
          a: {values: [off, on], to: {on: {minutes: 1, needs: {b: on}}}}
          b: {values: [off, on], to: {on: {minutes: 1, needs: {a: on}}}}
        components: {pump: {faults: {worn: {rate: 0.1}}}}
        checks: {look: {reads: pump.worn, minutes: 1, needs: {a: on}}}
    """)
    assert effort(model, model.checks["look"].work, Standing(model.start)) is None


def test_the_way_to_a_situation() -> None:
    running = small.at(SHOP, motor="running", bus="live", chocks="in_place")
    way = steps_between(SHOP, SHOP.start, running)
    assert way is not None
    assert (sum(step.change.minutes for step in way[0]), way[1]) == (14, running)
    assert steps_between(SHOP, running, running) == ((), running)
    assert steps_between(SHOP, SHOP.start, small.at(SHOP, place="airborne")) is None
    assert reach(SHOP, (), SHOP.start) == ((), dict(SHOP.start))


def test_a_step_that_undoes_what_is_wanted_is_not_the_end() -> None:
    wanted = small.at(SHOP, motor="running", bus="live", chocks="removed")
    way = steps_between(SHOP, SHOP.start, wanted)
    assert way is None or way[1] == wanted
    met = reach(SHOP, ({"bus": ("dead",), "motor": ("running",)},), SHOP.start)
    assert met is None or met[1]["bus"] == "dead"


@pytest.mark.parametrize("name", ["workshop-power-cart", "whinchat-hydraulics"])
def test_in_the_shipped_models_the_way_to_a_situation_ends_in_it(name: str) -> None:
    model = model_of(name)
    for one in model.situations.values():
        for other in model.situations.values():
            way = steps_between(model, one.values, other.values)
            assert way is None or way[1] == dict(other.values), (one.name, other.name)


@pytest.mark.parametrize("name", NAMES)
def test_in_the_shipped_models_work_is_done_where_its_needs_are_met(name: str) -> None:
    model = model_of(name)
    for situation in model.situations.values():
        for part in (*model.checks.values(), *model.repairs.values()):
            way = reach(model, part.work.needs, situation.values)
            if way is not None and part.work.needs:
                assert any(matches(match, way[1]) for match in part.work.needs), (situation.name, part.name)
