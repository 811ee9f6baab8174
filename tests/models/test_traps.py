"""Traps of the Whinchat: the conclusion that lures is not recommended, and the check that avoids it ranks high.

Common practice, no source; each row of traps.yaml says what lures and why it is wrong. A ``why_not`` is a reason for
people to read: the test holds only that one is given where the check does not rank high, and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import pytest

from faultiso.belief.belief import Belief
from faultiso.belief.evidence import Reading
from faultiso.planning.advice import Advice, Advisor
from faultiso.session.course import begun, carry_out
from faultiso.session.proving import plan_proof
from tests.models.shipped import model_of, reasoner_of
from tests.models.test_patterns import job, rows_of

NAME = "whinchat-hydraulics"
ROWS: dict[str, dict[str, Any]] = rows_of("traps.yaml")
FIRST = 5
UNEXPLAINED = 0.2  # chance of a wrong reading up to which the readings go together
RECOMMENDED = 0.5  # belief in a fault of a unit from which taking it off would be a recommendation


@dataclass(frozen=True)
class Seen:
    """What the readings of a row say, with and without those of its last view."""

    belief: Belief
    before: Belief
    advice: Advice


@cache
def seen(trap: str) -> Seen:
    views = [{"shows": {}, **view} for view in ROWS[trap]["seen"]]
    done = job(NAME, views)
    assert done.timeline is not None
    readings = [reading for reading, _, _ in done.readings]
    last = len(views[-1]["shows"])
    reasoner = reasoner_of(NAME)
    belief = reasoner.belief(done.timeline, readings)
    before = reasoner.belief(done.timeline, readings[: len(readings) - last])
    return Seen(belief, before, Advisor(belief).advise(with_looks=2))


def unit_of(fault: str) -> str:
    return fault.partition(".")[0]


@pytest.mark.parametrize("trap", ROWS)
def test_the_wrong_conclusion_is_not_recommended(trap: str) -> None:
    row, found = ROWS[trap], seen(trap)
    action = found.advice.action
    if action.kind == "repair":
        cleared = {unit_of(name) for name in model_of(NAME).repairs[action.name].clears}
        assert not cleared & set(row.get("wrong", ())), action
    for unit in row.get("wrong", ()):
        assert found.belief.components[unit] < RECOMMENDED, (unit, found.belief.components[unit])
    if row.get("nothing_wrong"):
        assert found.belief.none_modelled > 0.5 and action.kind != "repair", action
    else:
        assert action.kind != "no fault found" and found.belief.none_modelled < 0.5


@pytest.mark.parametrize("trap", [name for name, row in ROWS.items() if row.get("leads")])
def test_the_right_cause_leads(trap: str) -> None:
    assert next(iter(seen(trap).belief.faults)) == ROWS[trap]["leads"], list(seen(trap).belief.faults)[:3]
    if ROWS[trap].get("explained"):
        assert seen(trap).belief.unexplained < UNEXPLAINED


@pytest.mark.parametrize("trap", [name for name, row in ROWS.items() if row.get("not_cleared")])
def test_what_is_inhibited_clears_nobody(trap: str) -> None:
    found = seen(trap)
    for fault in ROWS[trap]["not_cleared"]:
        assert found.belief.faults[fault] >= found.before.faults[fault] - 1e-9


@pytest.mark.parametrize("trap", [name for name, row in ROWS.items() if row.get("not_raised")])
def test_what_is_latched_raises_nobody(trap: str) -> None:
    """Still lit says no more than lit before: none of what would light it anew gains by it."""
    found = seen(trap)
    for fault in ROWS[trap]["not_raised"]:
        assert found.belief.faults[fault] <= 1.1 * found.before.faults[fault] + 1e-6


@pytest.mark.parametrize("trap", [name for name, row in ROWS.items() if row.get("checks")])
def test_the_check_that_avoids_it_ranks_high_or_it_is_said_why_not(trap: str) -> None:
    row, found = ROWS[trap], seen(trap)
    saved = found.advice.minutes_saved
    checks = [check.name for check in found.belief.rank_checks() if check.name in model_of(NAME).checks]
    orders = (
        [action.name for action in found.advice.actions if action.kind in ("check", "look")],
        checks,
        sorted(checks, key=lambda name: -saved[name]),
    )
    high = any(name in order[:FIRST] for name in row["checks"] for order in orders)
    assert high is not bool(row.get("why_not")), [order[:FIRST] for order in orders]


def test_t26_a_connector_that_was_reseated_is_not_cured() -> None:
    """Looking at it may silence it: the readings that are good again afterwards do not clear it."""
    model, reasoner = model_of(NAME), reasoner_of(NAME)
    taxi = model.situations["taxi"].values
    course = begun(taxi)
    first = [
        Reading("pressure_1_reading", outcome="none"),
        Reading("pump_1_caution", outcome="lit"),
        Reading("steering_response", outcome="normal"),
    ]
    carried = carry_out(model, course, model.checks["seat_of_connector_n1"])
    assert carried is not None
    again = carried.after.timeline.then(taxi)
    looked = [
        Reading("pressure_1_reading", outcome="normal", moment=again.now, draw=1),
        Reading("pump_1_caution", outcome="out", moment=again.now, draw=1),
    ]
    belief = reasoner.belief(again, [*first, *looked])
    assert next(iter(belief.faults)) == "connector_n1.loose"
    assert belief.none_modelled < 0.1


@pytest.mark.parametrize("repair", ["replace_pump_1", "replace_pump_2"])
def test_t30_a_repair_is_not_proved_with_the_engine_stopped(repair: str) -> None:
    """A caution that is dark at rest proves nothing: the proof goes to where the complaint was seen."""
    model = model_of(NAME)
    number = repair[-1]
    complaint = model.situations["at_idle"].values
    reported = [Reading(f"pump_{number}_caution", outcome="lit")]
    parked = begun(model.situations["parked"].values)
    plan = plan_proof(model, parked, repair, complaint, reported)
    assert plan is not None
    assert plan.course.conditions[f"engine_{number}"] in ("idle", "power")
    assert f"pump_{number}_caution" in plan.signs
