"""A search further ahead: it keeps what is best, puts another first only with proof, and stops when told."""

from __future__ import annotations

from dataclasses import replace
from itertools import count

import pytest

from faultiso.planning.advice import Advice, Advisor
from faultiso.planning.deeper import deepened, posed_narrowly
from faultiso.planning.sequencing.search import solve

from .test_advice import LOW, believe

READ: list[dict[str, str]] = [LOW, {**LOW, "thermometer": "hot"}]


@pytest.mark.parametrize("read", READ)
def test_what_one_step_advises_is_kept_unless_it_is_proved_worse(read: dict[str, str]) -> None:
    belief = believe(read)
    advice = Advisor(belief).advise()
    found = deepened(belief, advice, 1.0)
    assert found.deeper is not None
    if found.action == advice.action:
        assert found.deeper.saved == 0.0 and found.reason == advice.reason
    else:
        assert found.deeper.saved > 0


def test_a_bad_action_is_replaced_and_the_reason_says_what_that_saves() -> None:
    belief = believe(LOW)
    advice = Advisor(belief).advise()
    refer = next(action for action in advice.actions if action.kind == "refer")
    worse = replace(advice, action=refer)
    found = deepened(belief, worse, 1.0)
    assert found.action == advice.action == found.actions[0]
    assert sorted(found.actions, key=str) == sorted(advice.actions, key=str)
    posed = posed_narrowly(belief, worse)
    assert posed is not None and found.deeper is not None
    best = solve(posed.problem).root.high
    assert found.deeper.saved == pytest.approx(posed.problem.costs.refer - best, rel=1e-6)
    assert f"saves {found.deeper.saved:.0f} min against stop and refer" in found.reason


def test_nothing_is_searched_where_there_is_nothing_to_plan() -> None:
    belief = believe({})
    advice = Advisor(belief).advise()
    assert advice.nothing_read
    assert deepened(belief, advice, 1.0) is advice


def test_the_clock_stops_a_search_at_once() -> None:
    belief = believe(LOW)
    advice: Advice = Advisor(belief).advise()
    ticks = count()
    found = deepened(belief, advice, 5.0, clock=lambda: 10.0 * next(ticks))
    assert found.action == advice.action
    assert next(ticks) <= 3
