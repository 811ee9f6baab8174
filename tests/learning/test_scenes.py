"""What a row says of each figure, against the plain derivative of its probability by that figure."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from faultiso.belief.evidence import Reading
from faultiso.belief.scene import SceneMaker
from faultiso.engine.plan import DEFAULT_LIMIT
from faultiso.learning.figures import Figure, figures, with_values
from faultiso.learning.problem import Problem, Strength
from faultiso.learning.roots import Roots
from faultiso.learning.rows import Counted, Evidence, Finding, Row
from faultiso.learning.scenes import Only, Scene
from faultiso.model.system import Model
from faultiso.network.ground import Grounding
from tests.learning.shop import proved, read, rig, row
from tests.semantics.random_models import random_case

SEEDS = range(30)
STEP = 1e-5
BROUGHT = """
model: brought
title: brought
subject: generic
flight_hours_at_risk: 100
components:
  strainer: {faults: {clogged: {rate: 1e-3}}}
  pump: {faults: {worn: {rate: 5e-4, caused_by: {strainer.clogged: 0.3}}}}
quantities:
  flow: {levels: [normal, low, none], causes: [{fault: pump.worn, gives: {low: 0.5, none: 0.3}}]}
  dirt: {levels: [clean, dirty], causes: [{fault: strainer.clogged, gives: {dirty: 0.7}}]}
indications: {meter: {kind: gauge, reads: flow}}
checks: {glass: {reads: dirt, miss: 0.1, false_alarm: 0.05}, rate: {reads: flow, miss: 0.2, false_alarm: 0.1}}
"""


def log_chance(model: Model, row: Row) -> float:
    """By the network that beliefs come from, which knows nothing of figures."""
    return SceneMaker(Grounding(model)).log_evidence(row.timeline, row.readings, DEFAULT_LIMIT)


def slope_by_hand(model: Model, row: Row, figure: Figure) -> float:
    """The derivative of log P(row) by the figure; other levels of the same cause share what it leaves."""
    step = STEP * figure.value
    up, down = (log_chance(moved(model, figure, figure.value + s), row) for s in (step, -step))
    return (up - down) / (2 * step)


def moved(model: Model, figure: Figure, value: float) -> Model:
    share = (1 - value) / (1 - figure.value)
    others = {
        other: other.value * share
        for other in figures(model)[0]
        if figure.kind == "strength" and (other.of, other.number) == (figure.of, figure.number)
    }
    return with_values(model, others | {figure: value})


def random_row(seed: int) -> tuple[Model, Row]:
    case = random_case(seed)
    readings = tuple(
        Reading(s.sign, doubtful=tuple(s.weights.items()), moment=s.moment, draw=s.draw)
        for s in case.readings
    )
    return case.model, Row(case.timeline, readings)


@pytest.mark.parametrize("seed", SEEDS)
def test_random_models(seed: int) -> None:
    model, one = random_row(seed)
    agree(model, one)


@pytest.mark.parametrize("one_fault", [False, True])
def test_a_small_rig(one_fault: bool) -> None:
    model = replace(rig(), one_fault=one_fault)
    for shown in ({"gauge": "low"}, {"gauge": "low", "port": "normal"}, {"puddle": "wet", "port": "low"}):
        agree(model, row(model, **shown))


def test_secondary_damage_and_more_than_two_levels() -> None:
    model = read(BROUGHT)
    for shown in ({"meter": "low", "glass": "dirty"}, {"rate": "none"}, {"glass": "clean", "rate": "normal"}):
        agree(model, row(model, **shown))


def agree(model: Model, one: Row) -> None:
    expected = log_chance(model, one)
    problem = Problem(model, Evidence((Counted(one, 1),), model.flight_hours_at_risk), Strength())
    place = problem.see(problem.start)
    if not math.isfinite(expected):
        assert problem.impossible
        return
    (scene,) = problem.scenes
    values = np.array([figure.value for figure in problem.figures])
    assert scene.expect(values).log_chance[0] == pytest.approx(expected, abs=1e-9)
    for figure, said in zip(problem.figures, place.said, strict=True):
        found = float(said.slopes @ said.times)  # by the chance of the figure's event
        if figure.kind == "rate":
            odds = said.chances(np.log([figure.value * (1 + s * STEP) for s in (1, -1)]))
            found *= float(odds[0] - odds[1]) / (2 * STEP * figure.value)
        assert found == pytest.approx(slope_by_hand(model, one, figure), rel=1e-4, abs=1e-4 / figure.value), (
            figure
        )


def test_events_told_are_conditions() -> None:
    """P(b | row, a happened) P(a | row) and the same the other way round are one number."""
    model = read(BROUGHT)
    learnt = figures(model)[0]
    one = Counted(row(model, meter="low", glass="dirty", rate="low"), 1)
    scene = Scene(Roots(model), [one], learnt, 3.0)
    values = np.array([figure.value for figure in learnt])
    plain = scene.expect(values)
    told = [scene.expect(values, [Only(0, event)]) for event in range(len(scene.events))]
    joint = np.array([plain.happened[a, 0] * told[a].happened[:, 0] for a in range(len(told))])
    assert joint == pytest.approx(joint.T, abs=1e-12)
    for event, each in enumerate(told):
        share = math.exp(each.log_chance[0] - plain.log_chance[0])
        assert share == pytest.approx(plain.happened[event, 0], abs=1e-12)


def test_other_values_are_as_another_model() -> None:
    model = rig()
    learnt = figures(model)[0]
    other = {figure: figure.value * 0.7 for figure in learnt}
    one = row(model, gauge="low", port="normal", puddle="dry")
    found = Scene(Roots(model), [Counted(one, 1)], learnt, 3.0).expect(np.array(list(other.values())))
    assert found.log_chance[0] == pytest.approx(log_chance(with_values(model, other), one), abs=1e-12)


def test_findings() -> None:
    """Proved faults are there and no others; weak words weigh; nothing found weighs the other way."""
    model = rig()
    learnt = figures(model)[0]
    values = np.array([figure.value for figure in learnt])
    words = (
        Finding(), proved("pump.worn"), Finding("proved", (), ("pump",)), Finding("weak", ("relief.open",)),
        Finding("none"),
    )  # fmt: skip
    rows = [Counted(row(model, finding, gauge="low"), 1) for finding in words]
    open_, sure, unit, weak, none = Scene(Roots(model), rows, learnt, 3.0).expect(values).present.T
    assert sure.tolist() == [1.0, 0.0, 0.0]
    assert unit[2] == 0.0 and unit[0] > 0.9 and unit[1] > open_[1]
    assert odds(weak[2]) == pytest.approx(3 * odds(open_[2]))
    assert none.sum() < open_.sum()


def odds(p: float) -> float:
    return p / (1 - p)
