"""The reference plan, followed in the world of a case, ends it rightly and safely, at about the computed minutes."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import product

import pytest

from faultiso.assessment.passages import passages
from faultiso.assessment.verdict import ENDED_AS, Verdict, verdict
from faultiso.casebook.difficulty import Difficulty
from faultiso.casebook.findings import Numbers
from faultiso.casebook.library import case_files
from faultiso.casebook.stock import as_stocked
from faultiso.model.effort import reach
from faultiso.model.parts import Match
from faultiso.model.system import Model
from faultiso.network.timeline import matches
from faultiso.practice.apprentices.apprentice import Apprentice
from faultiso.practice.apprentices.working import work
from faultiso.session.desk import events_of
from faultiso.session.proving import ProofPlan
from faultiso.session.state import State
from tests.benchmarks.apprentice import spearman
from tests.casebook.frame import DARK, Change, case_of, lamp
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
        assert not could_be_as_seen(model, state, last.plan, condition), condition


def could_be_as_seen(model: Model, state: State, plan: ProofPlan, condition: str) -> bool:
    """Whether this too could be as in the complaint, with all that is so already and what the proof needs.

    What the proof has needs of its own about is as the proof needs it. What a value needs to be brought about
    has to stay so: chocks, while the parking brake is released or an engine runs.
    """
    there, seen = plan.course.conditions, state.complaint
    proof = model.repairs[plan.repair].verification
    if any(condition in match for match in proof.needs):
        return False
    so_already = {name: (value,) for name, value in seen.items() if there[name] == value}
    together = [model.checks[name].work.needs for name in proof.checks if name not in plan.apart]
    needed = [alternatives for alternatives in (proof.needs, *together) if alternatives]
    wanted = {**so_already, condition: (seen[condition],)}
    ways = (reach(model, (_both(wanted, *chosen),), there) for chosen in product(*needed))
    return any(way is not None and _loose(model, way[1]) <= _loose(model, there) for way in ways)


def _loose(model: Model, conditions: Mapping[str, str]) -> set[str]:
    """Conditions whose value was brought about by what is not so any more."""
    changes = {name: part.changes.get(conditions[name]) for name, part in model.conditions.items()}
    return {
        name
        for name, change in changes.items()
        if change is not None and change.needs and not any(matches(m, conditions) for m in change.needs)
    }


def _both(*matches: Match) -> Match:
    """What all of these accept, condition by condition."""
    found: dict[str, tuple[str, ...]] = {}
    for match in matches:
        for name, accepted in match.items():
            found[name] = tuple(value for value in found.get(name, accepted) if value in accepted)
    return found


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


def test_what_a_new_part_sets_back_is_not_flushed_for_hours() -> None:
    """The button of pressure filter 1 goes back in with the new one, and the message with it."""
    state, _ = followed("yellow-line")
    assert [(repair.name, repair.proof) for repair in state.repairs] == [
        ("replace_filter_button_1", "passed")
    ]


# on a small model, where each rule of the plan can be seen alone


def of_the_lamp(*changes: Change, model: Model | None = None) -> State:
    """How the plan leaves the case of the dark lamp."""
    case, own = case_of(DARK, *changes)
    return work(case, model or own, FOLLOWING).desk.state


def test_what_does_not_hold_twice_is_not_done_a_third_time() -> None:
    half = lamp(("replace_wire: {clears: wire", "replace_wire: {fails: 0.5, clears: wire"))
    states = [of_the_lamp(("seed: 1", f"seed: {seed}"), model=half) for seed in range(12)]
    made = [
        [(r.name, r.proof) for r in state.repairs if "wire" in r.name or "all" in r.name] for state in states
    ]
    twice = [("replace_wire", "failed")] * 2
    assert any(repairs[:2] == twice for repairs in made)
    for repairs in made:
        assert len(repairs) <= 3 and (repairs[:2] != twice or repairs[2:] == [("replace_all", "passed")])
    assert {state.end.how for state in states if state.end} == {"rectified and verified"}


def test_nothing_is_said_to_be_wrong_only_after_it_was_seen_again() -> None:
    sound = (
        ("{situation: lit, reports: {glow: none}}", "{situation: lit, reports: {glow: full}, others: normal}"),
        ("[wire.broken]", "[]"), ("[single]", "[nothing wrong]"), ("rectified", "no fault found"),
    )  # fmt: skip
    rare = lamp(*((f"rate: {rate}", "rate: 1e-7") for rate in ("1e-3", "5e-4", "2e-3", "1e-3")))
    state = of_the_lamp(*sound, model=rare)
    assert [(deed.what, deed.answer) for deed in state.deeds] == [("set", "on"), ("look", "full")]
    assert state.end is not None and state.end.how == "no fault found"


def test_without_a_spare_what_may_wait_is_deferred_and_the_rest_referred() -> None:
    """An aged bulb may wait by the sheet; a broken wire may not."""
    aged = (
        ("reports: {glow: none}", "reports: {glow: low}"), ("[wire.broken]", "[bulb.aged]"),
        ("rectified", "deferred\nno_spare: [replace_bulb]"),
    )  # fmt: skip
    certain = lamp(("gives: {low: 1}", "gives: {low: 0}"), ("leak: {low: 0.02}", "leak: {low: 0}"))
    case, _ = case_of(DARK, *aged)
    state = of_the_lamp(*aged, model=as_stocked(certain, case))
    assert state.end is not None and (state.end.how, state.end.line) == ("deferred", "dim")
    assert not state.repairs
    wire = (("rectified", "refer\nno_spare: [replace_wire, replace_all]"),)
    state = of_the_lamp(*wire)
    assert state.end is not None and state.end.how == "referred"
