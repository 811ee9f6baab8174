"""How difficult a case is: its parts by hand and against brute force, its levels, and what is stated of it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.case import LEVELS, Case
from faultiso.casebook.chances import chance_of_set
from faultiso.casebook.checking import check_case
from faultiso.casebook.complaint import complaint
from faultiso.casebook.difficulty import CUTS, LONG, QUICK, WEIGHTS, Difficulty, difficulty
from faultiso.casebook.following import Done, Followed, followed
from faultiso.casebook.library import case_files
from faultiso.casebook.load import load_case
from faultiso.model.expected import expected
from faultiso.model.system import Model
from faultiso.planning.posing import parts_of
from tests.casebook.frame import DARK, MODELS, SMALL, Change, case_of, lamp


def computed(*changes: Change, model: Model | None = None) -> Difficulty:
    case, own = case_of(DARK, *changes)
    reasoner = Reasoner(model or own)
    found = difficulty(case, reasoner, complaint(case, reasoner.model), 0)
    assert found is not None
    return found


def test_the_way_and_its_minutes_by_hand() -> None:
    """Cover 1, wire check 5 and the half minute of handling that each look has; wire 20, power 1, proof 2."""
    found = computed()
    assert [(step.name, step.outcome) for step in found.way.steps] == [
        ("wire_check", "found"),
        ("replace_wire", ""),
    ]
    assert (found.way.end, found.way.right, found.steps) == ("verified", True, 2)
    assert found.minutes == pytest.approx(1 + 5 + 0.5 + 20 + 1 + 2)


def test_another_truth_of_the_same_complaint_goes_another_way() -> None:
    found = computed(("[wire.broken]", "[switch.stuck]"))
    assert [step.outcome for step in found.way.steps if step.name == "wire_check"] == ["not found"]
    assert found.way.steps[-1].name in ("replace_switch", "replace_all")
    assert found.way.right


def test_the_lure_is_the_odds_of_the_leading_good_unit() -> None:
    case, model = case_of(DARK)
    told = complaint(case, model)
    belief = Reasoner(model).belief(told.timeline, told.readings)
    found = computed()
    wrong = max(chance for name, chance in belief.components.items() if name != "wire")
    assert found.lure == pytest.approx(wrong / (wrong + belief.components["wire"]), abs=1e-3)
    assert found.lured_to == "the switch"
    other = computed(("[wire.broken]", "[switch.stuck]"))
    assert (other.lured_to, other.lure) == ("the wire", pytest.approx(1 - found.lure, abs=1e-6))


def test_a_plan_that_gives_up_pays_for_the_repairs_besides() -> None:
    """Two faults of which one shows and the other is next to impossible: the plan ends before it is found."""
    rare = lamp(("rate: 5e-4", "rate: 1e-12"))
    two = (("[wire.broken]", "[wire.broken, switch.stuck]"), ("[single]", "[double]"))
    found = computed(*two, model=rare)
    if not found.way.right:
        assert found.minutes > found.way.minutes and found.steps > len(found.way.steps)
    assert found.lure == pytest.approx(1.0, abs=1e-3)


def test_nothing_wrong_and_nothing_believed_is_no_work() -> None:
    case, model = case_of(
        DARK,
        ("{situation: lit, reports: {glow: none}}", "{situation: lit, reports: {glow: full}, others: normal}"),
        ("[wire.broken]", "[]"), ("[single]", "[nothing wrong]"), ("rectified", "no fault found"),
    )  # fmt: skip
    sound = lamp(*((f"rate: {rate}", "rate: 1e-7") for rate in ("1e-3", "5e-4", "2e-3", "1e-3")))
    found = difficulty(case, Reasoner(sound), complaint(case, model), 0)
    assert found is not None
    assert (found.minutes, found.steps, found.way.right, found.level) == (0, 0, True, "easy")


def test_a_model_that_leaves_nothing_to_plan_has_no_difficulty() -> None:
    case, _ = case_of(DARK)
    helpless = lamp(
        ("replace_wire: {clears: wire", "replace_wire: {clears: []"),
        ("replace_switch: {clears: switch", "replace_switch: {clears: []"),
        ("replace_bulb: {clears: bulb", "replace_bulb: {clears: []"),
        ("clears: [wire, switch]", "clears: []"),
    )
    assert difficulty(case, Reasoner(helpless), complaint(case, helpless), 0) is None


CASES = [DARK, SMALL, *case_files().values()]


@pytest.mark.parametrize("path", CASES[:2] + CASES[4:6], ids=lambda path: path.stem)
def test_what_the_way_is_told_is_what_a_perfect_check_shows(path: Path) -> None:
    """Checks that make no chance of it: the truth itself is looked for, so the outcome is certain."""
    loaded = load_case(path, MODELS)
    case, model = loaded.case, loaded.model
    assert case is not None and model is not None
    told = complaint(case, model)
    truth = frozenset(case.truth)
    way = followed(Reasoner(model).belief(told.timeline, told.readings, hold=tuple(parts_of(truth))), truth)
    shown = expected(model, told.timeline.moments[-1].conditions, truth)
    looked = [
        s for s in way.steps if s.name in model.checks and model.checks[s.name].rules[-1].like in model.faults
    ]
    for step in looked:
        outcome = {"found": "present", "not found": "absent"}.get(step.outcome, step.outcome)
        assert outcome == shown[step.name]


def test_sets_that_are_held_are_planned_with_at_their_exact_chance() -> None:
    case, model = case_of(DARK)
    told, unlikely = (
        complaint(case, model),
        frozenset(("bulb.aged", "bulb.loose", "switch.stuck", "wire.broken")),
    )
    reasoner = Reasoner(model)
    free = reasoner.belief(told.timeline, told.readings)
    held = reasoner.belief(told.timeline, told.readings, hold=(unlikely,))
    place = held.leading.sets.index(unlikely)
    assert held.leading.posterior[place] == pytest.approx(chance_of_set(free, unlikely))
    assert held.leading.posterior.tolist() == sorted(held.leading.posterior.tolist(), reverse=True)
    assert set(free.leading.sets) <= set(held.leading.sets) or len(free.leading.sets) == len(
        held.leading.sets
    )


parts = st.builds(
    Difficulty,
    way=st.just(Followed((Done("a", "a", 1.0),), "verified", True)),
    minutes=st.floats(0, 2000),
    steps=st.integers(0, 40),
    lure=st.floats(0, 1),
    lured_to=st.just("unit"),
    alike=st.integers(0, 50),
)


@given(parts)
def test_the_score_is_a_weighted_mean_and_the_level_its_place(found: Difficulty) -> None:
    assert math.isclose(sum(WEIGHTS.values()), 1.0)
    assert all(0 <= part <= 1 for part in found.parts.values())
    assert 0 <= found.score <= 1 + 1e-12
    assert found.number == 1 + int(np.searchsorted(CUTS, found.score, side="right"))
    assert found.level == LEVELS[found.number - 1]


@given(parts, st.floats(0, 500), st.integers(0, 5), st.floats(0, 1), st.integers(0, 5))
def test_more_of_anything_is_never_easier(
    found: Difficulty, minutes: float, steps: int, lure: float, alike: int
) -> None:
    more = replace(
        found,
        minutes=found.minutes + minutes,
        steps=found.steps + steps,
        lure=found.lure + lure * (1 - found.lure),
        alike=found.alike + alike,
    )
    assert more.score >= found.score - 1e-12


def test_the_ends_of_the_scale_of_minutes() -> None:
    found = computed()
    assert replace(found, minutes=QUICK).parts["minutes"] == 0
    assert replace(found, minutes=LONG).parts["minutes"] == 1
    assert replace(found, minutes=(QUICK * LONG) ** 0.5).parts["minutes"] == pytest.approx(0.5)


def test_a_difficulty_that_is_stated_wrongly_is_told() -> None:
    right, wrong = ("stage: first week", "stage: first week\ndifficulty: easy"), "difficulty: very hard"
    assert check_case(*case_of(DARK, right)).problems == ()
    (problem,) = check_case(*case_of(DARK, right, ("difficulty: easy", wrong))).problems
    assert (problem.code, problem.severity, problem.nearest) == ("difficulty", "warning", "easy")
    assert (problem.where.line, problem.where.column) == (5, 13)


def test_shipped_cases_spread_over_the_levels() -> None:
    stated = [load_case(path, MODELS).case for path in case_files().values()]
    assert {case.difficulty for case in stated if isinstance(case, Case)} == set(LEVELS)
