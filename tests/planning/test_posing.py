"""From a belief to a planning problem: stands, setups, looks elsewhere, deferrals and prices are the model's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from faultiso.belief.reasoner import Reasoner
from faultiso.model.effort import effort
from faultiso.planning.charting import pose
from faultiso.planning.posing import Limits, Posed
from faultiso.planning.sequencing.moves import Moves

from ..models.shipped import reasoner_of

CART = "workshop-power-cart"
LIT = {"low_pressure_light@at_pressure": "lit"}


@pytest.fixture(scope="module")
def posed() -> Posed:
    return pose(reasoner_of(CART).believe(LIT))


def test_from_the_start_an_action_takes_what_it_takes_in_the_model(posed: Posed) -> None:
    """The way and the own minutes of each check, made first, are those of the effort from here."""
    problem, belief = posed.problem, posed.belief
    moves = Moves(problem)
    for number, check in enumerate(problem.checks):
        if check.name not in posed.model.checks:
            continue
        taken = effort(posed.model, posed.model.checks[check.name].work, belief.standing)
        way = moves.shortest(number, moves.everything)
        assert taken is not None and way is not None
        own = posed.model.checks[check.name].work.minutes
        assert way.minutes == pytest.approx(taken.minutes - own), check.name


def test_an_indication_is_read_as_things_stand_and_a_look_elsewhere_where_it_is(posed: Posed) -> None:
    checks = {check.name: check for check in posed.problem.checks}
    assert posed.looks
    for name in posed.looks:
        (there,) = checks[name].handling.begins
        assert there != posed.problem.site.start
        assert np.isfinite(posed.problem.site.changes[0, there])
    for name in checks.keys() & posed.model.indications.keys():
        assert checks[name].handling.begins == (posed.problem.site.start,)


def test_access_is_paid_once(posed: Posed) -> None:
    moves, problem = Moves(posed.problem), posed.problem
    count = len(problem.checks)
    asking = [r for r, repair in enumerate(problem.repairs) if repair.handling.setups]
    assert asking
    for r in asking:
        first = moves.shortest(count + r, moves.everything)
        assert first is not None
        setups = [s for k, s in enumerate(problem.site.setups) if problem.repairs[r].handling.setups >> k & 1]
        stood = first.left | 1 << count + r  # as it stands afterwards, the repair still to be made
        again = moves.shortest(count + r, stood)
        afresh = moves.shortest(count + r, stood | moves.everything)
        assert again is not None and afresh is not None
        assert afresh.minutes - again.minutes == pytest.approx(sum(setup.minutes for setup in setups))


def test_prices_of_parts_count_only_with_a_price_of_an_hour() -> None:
    reasoner = reasoner_of(CART)
    dear = {name: replace(repair, price=50.0) for name, repair in reasoner.model.repairs.items()}
    belief = Reasoner(replace(reasoner.model, repairs=dear)).believe(LIT)
    plain, priced = pose(belief).problem, pose(belief, Limits(hour=100.0)).problem
    assert all(repair.parts == 0 for repair in plain.repairs)
    assert all(repair.parts == 50.0 for repair in priced.repairs) and priced.costs.hour == 100.0
    assert Moves(priced).prices.min() == pytest.approx(Moves(plain).prices.min() + 30.0)


def test_a_deferral_covers_only_what_its_line_names() -> None:
    belief = reasoner_of("whinchat-hydraulics").believe({"pressure_2_reading@at_idle": "dashes"})
    posed = pose(belief, Limits(looks=0))
    lines = {line.name: line for line in posed.problem.deferrals}
    covered = {name for bit, name in enumerate(posed.names) if lines["reading_2"].covers >> bit & 1}
    assert covered and covered <= set(posed.model.deferrals["reading_2"].covers)
