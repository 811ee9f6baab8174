"""From a belief to a printed plan: what it holds, what it says it leaves out, and what cannot be charted."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from faultiso.base.problems import FaultisoError, UsageError
from faultiso.cli.app import run
from faultiso.planning.charting import chart_plan
from faultiso.planning.tree import ENDS, Plan, Step, steps_in_order
from faultiso.report.charts.complaint import complaint_words

from ..models.shipped import reasoner_of

CART = "workshop-power-cart"
LIT = {"low_pressure_light@at_pressure": "lit"}


@pytest.fixture(scope="module")
def plan() -> Plan:
    return chart_plan(reasoner_of(CART).believe(LIT), seconds=3.0)


def test_the_certificate_is_no_better_than_the_plan(plan: Plan) -> None:
    found = plan.certificate
    assert 0 < found.lower_bound <= found.expected_minutes
    assert found.gap < 0.2


def test_each_step_is_followed_with_all_its_outcomes_or_says_that_it_is_cut(plan: Plan) -> None:
    for _, step, _ in steps_in_order(plan):
        if step.branches:
            assert sum(branch.probability for branch in step.branches) == pytest.approx(1.0, abs=1e-6)
        else:
            assert step.cut or step.kind in ENDS


def test_the_expected_minutes_are_those_of_its_own_steps(plan: Plan) -> None:
    """Step by step: no branch is dearer on average than the step says, without what the step itself costs."""
    for _, step, _ in steps_in_order(plan):
        ahead = sum(branch.probability * branch.step.expected_minutes for branch in step.branches)
        assert step.expected_minutes >= ahead - 1e-6


def test_steps_bring_what_they_need_of_the_model(plan: Plan) -> None:
    model = reasoner_of(CART).model
    steps = [step for _, step, _ in steps_in_order(plan)]
    for step in steps:
        if step.kind in ("check", "repair"):
            part = model.checks.get(step.name) or model.repairs[step.name]
            assert step.work == part.work
            assert step.title == part.title
        if step.kind == "repair":  # a step before may have started it
            assert step.changes["start_selector"] == "stop" and step.changes["mains"] == "off"
    assert any(step.kind == "repair" for step in steps)
    assert any("likeliest sets of faults" in sentence for sentence in plan.left_out)


def test_the_plan_beats_going_straight_to_the_first_repair(plan: Plan) -> None:
    from faultiso.planning.advice import Advisor

    belief = reasoner_of(CART).believe(LIT)
    assert plan.certificate.expected_minutes < Advisor(belief).advise().straight_to_repair


def test_nothing_likely_to_be_wrong_is_no_chart() -> None:
    everything = reasoner_of(CART).believe({}, situation="parked")
    with pytest.raises(UsageError, match="nothing modelled is likely to be wrong"):
        chart_plan(everything, seconds=0.2)


def test_a_matrix_of_one_certain_check_is_isolated_by_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "two.csv"
    path.write_text("fault,probability,light\nminutes,,5\npump,0.7,1\nvalve,0.3,0\n", encoding="utf-8")
    assert run(["chart", str(path), "--seconds", "0.5"]) == 0
    screen = capsys.readouterr().out
    assert "5 min" in screen and "go to step 2" in screen
    assert "uncontrolled" in screen or "not approved maintenance data" in screen


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("fault,probability,light\nminutes,,0\npump,0.7,1\nvalve,0.3,0\n", "minutes"),
        ("fault,probability,light\nminutes,,-3\npump,0.7,1\nvalve,0.3,0\n", "minutes"),
        ("fault,probability,light\nminutes,,5\npump,1.7,1\nvalve,0.3,0\n", "1.7"),
        ("fault,probability\nminutes,\npump,0.7\nvalve,0.3\n", "check"),
        (
            "fault,probability,light\nminutes,,5\npump,0,1\nvalve,0,0\n",
            "the probabilities of all faults are 0",
        ),
    ],
    ids=["zero minutes", "negative minutes", "no probability", "no check", "all zero"],
)
def test_an_impossible_matrix_is_a_plain_statement(
    text: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    assert run(["chart", str(path), "--seconds", "0.5"]) in (1, 2)
    err = capsys.readouterr().err
    assert said in " ".join(err.split()) and "Traceback" not in err


def test_readings_with_a_matrix_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "two.csv"
    path.write_text("fault,probability,light\nminutes,,5\npump,0.7,1\nvalve,0.3,0\n", encoding="utf-8")
    assert run(["chart", str(path), "--observe", "light=lit"]) == 2
    assert "a matrix has no readings" in capsys.readouterr().err


def test_certain_and_impossible_faults_are_planned_alike(capsys: pytest.CaptureFixture[str]) -> None:
    """Probabilities of 0 and 1 in a matrix are no special case."""
    from faultiso.planning.sequencing.matrix import from_matrix
    from faultiso.planning.sequencing.planned import best_plan

    problem = from_matrix(["a", "b"], [1.0, 0.0], ["light"], [5.0], np.array([[1.0], [0.0]]))
    found = best_plan(problem, 0.5)
    assert isinstance(found.first, Step)
    assert found.certificate.expected_minutes == pytest.approx(0.0)
    assert issubclass(UsageError, FaultisoError)


def test_the_complaint_says_where_it_was_seen_and_where_the_chart_begins() -> None:
    belief = reasoner_of(CART).believe(LIT, {"mains": "on"})
    assert complaint_words(belief, 1) == (
        "running at pressure, bench at rest: low-pressure light lit. It begins from: mains on, motor stopped."
    )
