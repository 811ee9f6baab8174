"""The judgement of small models whose answers can be seen by looking."""

from __future__ import annotations

from dataclasses import replace

import pytest

from faultiso.appraisal.added import MARK, is_reading, telling_conditions, with_readings
from faultiso.appraisal.clock import Limit
from faultiso.appraisal.groups import faint, groups_of, idle_signs, redundant, unmade_checks
from faultiso.appraisal.isolation import ANY, isolation
from faultiso.appraisal.signatures import signatures
from faultiso.appraisal.testability import Judgement, judgement
from faultiso.appraisal.ways import worked
from faultiso.appraisal.worth import check_worths, instrument_faults, mean_minutes
from faultiso.appraisal.writeups import write_ups
from faultiso.belief.reasoner import Reasoner
from tests.semantics.small import model

from .rigs import MISLEADING, RIG


@pytest.fixture(scope="module")
def rig() -> Judgement:
    return judgement(model(RIG), seconds=600)


def test_what_the_crew_sees_and_what_checks_add(rig: Judgement) -> None:
    rates = {"worn": 2, "seized": 1, "stuck": 1, "torn": 1, "bypassing": 1}
    crew, everything = rig.crew.by_one.by_rate, rig.everything.by_one.by_rate
    assert crew.detected == pytest.approx(4 / sum(rates.values()))
    assert everything.detected == pytest.approx(5 / sum(rates.values()))
    assert rig.crew.by_one.alike.detected == pytest.approx(3 / 5)
    assert crew.isolated == pytest.approx((1, 1, 1))  # worn and seized are in one unit
    (group,) = rig.crew.groups
    assert (group.faults, group.units, group.mends_all) == (
        ("pump.worn", "pump.seized"),
        ("pump",),
        "replace_pump",
    )
    assert group.rate == pytest.approx(3e-3)
    assert rig.everything.never == rig.everything.groups == (group,)
    assert group.told_by == ""


def test_what_nothing_reveals_and_what_tells_nothing(rig: Judgement) -> None:
    (nothing,) = rig.everything.faint
    assert (nothing.fault, nothing.sign, nothing.moved) == ("filter.bypassing", "", 0)
    assert rig.silent == ("filter.torn", "filter.bypassing")
    assert rig.idle == ("dead_lamp", "thermometer")
    assert rig.redundant == ()
    assert rig.unmade == ()


def test_write_ups_hold_all_that_is_off_where_it_shows_best(rig: Judgement) -> None:
    found = {item.write_up.faults: item.write_up for item in rig.worked}
    both = found["pump.worn", "pump.seized"]
    assert (both.situation, dict(both.shown)) == ("running", {"lamp": "lit", "second_lamp": "lit"})
    assert dict(found["switch.stuck",].shown) == {"lamp": "lit"}
    assert [item.write_up.rate for item in rig.worked] == sorted((3e-3, 1e-3), reverse=True)
    assert rig.left == () and rig.judged_share == 1


def test_checks_earn_by_a_plan_by_a_saving_or_by_what_only_they_show(rig: Judgement) -> None:
    worth = {row.check: row for row in rig.checks}
    assert worth["sample"].shows == ("filter.torn",) and worth["sample"].earns
    assert not worth["thermometer"].earns


def test_plans_end_in_the_right_repair(rig: Judgement) -> None:
    ways = {way.fault: way for item in rig.worked for way in item.ways}
    assert ways["pump.worn"].steps[-1] == ways["pump.seized"].steps[-1] == "replace_pump"
    assert all(way.right and not way.taken_off for way in ways.values())
    weighted = 2e-3 * ways["pump.worn"].minutes + 1e-3 * ways["pump.seized"].minutes
    weighted += 1e-3 * ways["switch.stuck"].minutes
    assert rig.minutes == pytest.approx(weighted / 4e-3)


def test_when_the_time_is_up_the_rest_is_named() -> None:
    ticks = iter(range(100))
    found = judgement(model(RIG), limit=Limit(1, lambda: next(ticks)))
    assert (len(found.worked), len(found.left)) == (0, 2)
    assert found.judged_share == 0 and found.minutes is None and found.readings == ()


def test_an_instrument_that_misleads_and_the_reading_that_would_help() -> None:
    found = judgement(model(MISLEADING), seconds=600)
    (misled,) = found.misled
    assert (misled.fault, misled.instrument, misled.taken_off) == ("switch.stuck", True, ("replace_pump",))
    assert instrument_faults(found.model) == {"switch.stuck"}
    saved = {reading.what: reading.most for reading in found.readings}
    # the pump comes off for nothing one time in six: its minutes, and the price of a good unit off
    assert saved.keys() == {"pressure", "pump.worn", "switch.stuck"}
    assert list(saved.values()) == pytest.approx([(60 + 45) / 6 - 0.5] * 3, abs=0.1)


def test_a_model_without_indications_repairs_or_faults_is_judged_too() -> None:
    bare = "components: {box: {title: box, faults: {bad: {rate: 1e-3}}}}\n"
    for text in (
        bare,
        bare + "checks: {look: {reads: box.bad, minutes: 1}}\n",
        "components: {box: {title: box}}\n",
    ):
        found = judgement(model(text), seconds=600)
        assert found.worked == () and found.minutes is None and found.misled == ()
    lamp = "indications: {lamp: {kind: light, reads: box.bad}}\n"
    found = judgement(model(bare + lamp), seconds=600)
    assert [item.ways for item in found.worked] == [()] or found.worked[0].ways[0].end == "stop and refer"


def test_what_would_tell_a_group_apart() -> None:
    read = (
        MISLEADING
        + "checks: {long_look: {reads: pressure, minutes: 9}, look: {reads: pressure, minutes: 5}}\n"
    )
    found = judgement(model(read), seconds=0)
    (group,) = found.crew.groups
    assert (group.faults, group.mends_all, group.told_by) == (("pump.worn", "switch.stuck"), "", "look")
    assert found.everything.groups == ()
    hidden = judgement(model(MISLEADING), seconds=0)
    assert [group.told_by for group in hidden.everything.groups] == ["reading of pressure"]


@pytest.mark.parametrize(("miss", "told_by"), [(0.1, "glance"), (0.5, "long_look")])
def test_the_quickest_that_tells_at_least_half_as_much(miss: float, told_by: str) -> None:
    """Which of two faults it is, five to one: 0.65 bits to know; a glance that misses one in ten tells 0.42
    of them, one that misses half 0.15."""
    looks = (
        f"long_look: {{reads: pressure, minutes: 9}}, glance: {{reads: pressure, minutes: 5, miss: {miss}}}"
    )
    (group,) = judgement(model(f"{MISLEADING}checks: {{{looks}}}\n"), seconds=0).crew.groups
    assert group.told_by == told_by


def test_a_check_is_worth_the_most_that_it_saves_anywhere(rig: Judgement) -> None:
    found = signatures(Reasoner(rig.model))
    little, much = (replace(rig.worked[0], saves={"sample": saved}) for saved in (2.0, 5.0))
    for order in ([little, much], [much, little]):
        worths = {worth.check: worth.saves for worth in check_worths(found, order, (), 0.5)}
        assert worths == {"sample": 5.0, "thermometer": 0.0}


def test_a_reading_of_each_quantity_where_it_tells_most() -> None:
    rig = model(RIG)
    found = signatures(Reasoner(with_readings(rig)))
    assert {sign.name for sign in found.signs if is_reading(sign)} == {MARK + "pressure", MARK + "dirt"}
    where = telling_conditions(found)
    assert where["pressure"] == {"power": "on"}
    assert set(with_readings(rig, where).checks) == {*rig.checks, MARK + "pressure", MARK + "dirt"}


def test_an_indication_that_repeats_another_is_redundant() -> None:
    twice = model(
        MISLEADING.replace(
            "indications:\n",
            "indications:\n  bell: {kind: sound, reads: pressure}\n  horn: {kind: sound, reads: pressure}\n",
        )
    )
    found = signatures(Reasoner(twice))
    assert redundant(found, 0.5) == ("bell", "horn")
    assert idle_signs(found, ANY) == unmade_checks(found) == ()
    everything = isolation(found.apart(found.signs), found.rates, found.units, 0.5)
    assert groups_of(found, everything) == faint(found, everything) == ()


def test_what_most_likely_shows_as_usual_is_in_no_write_up() -> None:
    seldom = RIG.replace("{reads: dirt, minutes: 10}", "{reads: dirt, minutes: 10, miss: 0.6}")
    seldom = seldom.replace("{when: {switch.stuck: present}, then: lit}", "{when: {tired: yes}, then: lit}")
    seldom = seldom.replace(
        "  dirt:\n",
        "  tired:\n    levels: [no, yes]\n    causes: [{fault: switch.stuck, gives: {yes: 0.4}}]\n  dirt:\n",
    )
    found = write_ups(signatures(Reasoner(model(seldom))), 0.3)
    assert [item.faults for item in found] == [("pump.worn", "pump.seized")]


def test_the_plan_of_one_write_up() -> None:
    own = model(MISLEADING)
    found = signatures(Reasoner(own))
    (write_up,) = write_ups(found, 0.5)
    assert write_up.faults == ("pump.worn", "switch.stuck")
    done = worked(write_up, Reasoner(own), Reasoner(with_readings(own, telling_conditions(found))))
    assert [way.steps for way in done.ways] == [("replace_pump",), ("replace_pump", "replace_switch")]
    assert mean_minutes(own, [done]) == pytest.approx((5 * done.ways[0].minutes + done.ways[1].minutes) / 6)
