"""The reference plan, followed in the world of a case, ends it rightly and safely, at about the computed minutes."""

from __future__ import annotations

from functools import cache

import pytest

from faultiso.assessment.passages import passages
from faultiso.assessment.verdict import ENDED_AS, Verdict, verdict
from faultiso.casebook.difficulty import Difficulty
from faultiso.casebook.findings import Numbers
from faultiso.casebook.library import case_files
from faultiso.model.parts import Match
from faultiso.model.system import Model
from faultiso.practice.apprentices.apprentice import Apprentice
from faultiso.practice.apprentices.working import work
from faultiso.session.desk import events_of
from faultiso.session.state import Repaired, State
from tests.benchmarks.apprentice import spearman
from tests.models.shipped import reasoner_of
from tests.practice.apprentices.shop import read, room

FOLLOWING = Apprentice(1.0, "reference plan")
#: a deferral, a latched cut-out, two faults that need two proofs, nothing wrong; the rest in the long run
FEW = ("blank-window", "half-fed", "hot-cart", "no-green", "one-reset", "monday-morning")
EACH = [pytest.param(name, marks=() if name in FEW else pytest.mark.long) for name in case_files()]


@cache
def followed(name: str) -> tuple[State, Verdict]:
    """How the plan leaves the case, and the verdict on it with every step looked at."""
    case, model = read(name)
    play = work(case, model, FOLLOWING, room=room(name))
    done, state = passages(model, events_of(play.desk.log.entries))
    return state, verdict(case, model, done, state)


@cache
def computed(name: str) -> Difficulty:
    case, model = read(name)
    reasoner = reasoner_of(case.model) if not case.no_spare else room(name).desk(followed(name)[0]).wake()
    found = Numbers(case, model, reasoner).difficulty
    assert found is not None
    return found


@pytest.mark.parametrize("name", EACH)
def test_it_ends_as_the_case_should(name: str) -> None:
    case, _ = read(name)
    state, found = followed(name)
    assert state.end is not None
    assert (state.end.how, found.right) == (ENDED_AS[case.right_end], True)
    if case.right_end == "rectified":
        assert found.remains == (), "what was wrong is mended, and nothing was left behind by the work"


@pytest.mark.parametrize("name", EACH)
def test_no_good_unit_comes_off_and_everything_is_put_back(name: str) -> None:
    state, found = followed(name)
    assert found.good_units == ()
    assert not state.unrestored and state.end is not None and not state.end.left_open


@pytest.mark.parametrize("name", EACH)
def test_every_hazard_is_named_and_none_that_is_not_there(name: str) -> None:
    case, _ = read(name)
    state, _ = followed(name)
    for named in state.hazards:
        assert set(named.named) == set(named.cautions) & set(named.offered) == set(named.cautions)
    assert all(repair.reference for repair in state.repairs)


@pytest.mark.parametrize("name", EACH)
def test_the_last_repair_is_proved_as_near_to_the_complaint_as_can_be(name: str) -> None:
    _, model = read(name)
    state, _ = followed(name)
    if not state.repairs:
        return
    last = state.repairs[-1]
    assert last.proof == "passed" and last.inspected != "not yet" and last.plan is not None
    for condition in last.plan.not_as_seen:
        assert not model.conditions[condition].settable or condition in _needed(model, last), condition


def _needed(model: Model, repair: Repaired) -> set[str]:
    """Conditions on which the proof and its checks have needs of their own, or that follow from them."""
    proof = model.repairs[repair.name].verification
    needs: list[Match] = [*proof.needs, *(m for name in proof.checks for m in model.checks[name].work.needs)]
    return {condition for match in needs for condition in match}


@pytest.mark.parametrize("name", EACH)
def test_the_minutes_of_the_difficulty_are_those_of_a_plan_that_ends_rightly(name: str) -> None:
    found = computed(name)
    assert found.minutes >= found.way.minutes == pytest.approx(sum(step.minutes for step in found.way.steps))
    if found.way.right:
        assert found.minutes == found.way.minutes
        assert found.steps == len(found.way.steps)


@pytest.mark.long
def test_what_the_plan_takes_in_the_world_goes_with_the_minutes_of_the_difficulty() -> None:
    """What differs: resets after a proof, conditions of the complaint that take hours to bring about."""
    took = [followed(name)[0].minutes for name in case_files()]
    minutes = [computed(name).minutes for name in case_files()]
    found = spearman(took, minutes)
    print(f"{len(took)} shipped cases: rank correlation of minutes in the world and computed {found:.2f}")
    assert found > 0.9
