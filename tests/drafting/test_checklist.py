"""What a reviewer has to look at: every question finds its places, and nothing where all is said."""

from __future__ import annotations

from faultiso.drafting.checklist import Question, checklist
from faultiso.language.load import load, load_text, read_model
from faultiso.language.shipped import find_model
from tests.language.frame import SMALL


def asked(text: str, **more: object) -> dict[str, Question]:
    model = load_text(text, lint=False).model
    assert model is not None
    found = checklist(model, load_text(text).problems, **more)  # type: ignore[arg-type]
    return {question.short: question for question in found}


def places(question: Question) -> list[tuple[int, str]]:
    return [(point.where.line, point.text.partition(":")[0].split(",")[0]) for point in question.points]


TEXT = """model: a
title: a
subject: invented
conditions: {motor: {values: [stopped, running]}, mode: {values: [a, b]}}
cautions: {hot: {text: it is hot}}
components:
  pump:
    faults:
      worn: {rate: 1e-5, source: invented}
      torn: {rate: 1e-6, severity: I}
      lost: {rate: 1e-6, source: a handbook}
quantities:
  flow:
    levels: [full, small]
    causes:
      - {fault: pump.worn, gives: {small: 0.9}}
      - {fault: pump.torn, when: {mode: b}, gives: {small: 0.9}}
    leak: {small: 0.01}
indications:
  gauge: {kind: gauge, reads: flow}
checks:
  look: {reads: flow, minutes: 5, miss: 0.1}
repairs:
  replace_pump: {clears: pump, minutes: 9, hazards: hot}
"""


def test_every_question_finds_its_places() -> None:
    found = asked(TEXT, truths=["pump.worn"])
    assert places(found["invented"]) == [(9, "pump.worn")]
    assert places(found["without_source"]) == [(22, "look")]
    assert (
        found["strengths"].points[0].text == "flow: pump.worn small 0.9, pump.torn small 0.9, leak small 0.01"
    )
    assert places(found["unproved"]) == [(24, "replace_pump")]
    assert places(found["no_hazard"]) == [(22, "look")]
    assert [point.text for point in found["cautions"].points] == ["hot: no precaution and no source"]
    assert places(found["no_severity"]) == [(9, "pump.worn"), (11, "pump.lost")]
    assert [point.text for point in found["no_about"].points] == ["the model itself", "pump", "gauge"]
    assert places(found["unreached"]) == [(17, "flow")]
    assert places(found["no_case"]) == [(10, "pump.torn"), (11, "pump.lost")]
    assert [point.where.line for point in found["unrevealed"].points] == [11]
    assert [point.where.line for point in found["sourceless"].points] == [10]
    told = [point.text for point in found["warnings"].points]
    assert all("pump.lost" not in text and "source" not in text for text in told)


def test_cases_exercise_rows() -> None:
    assert "unreached" not in asked(TEXT, settings=[{"mode": "b"}])
    assert "no_case" not in asked(TEXT)


def test_every_problem_of_a_check_is_somewhere() -> None:
    problems = load_text(TEXT).problems
    model = load_text(TEXT, lint=False).model
    assert model is not None
    points = {(p.where, p.text) for question in checklist(model, problems) for p in question.points}
    assert {(problem.where, problem.message) for problem in problems} <= points


def test_a_model_that_says_all_has_little_to_look_at() -> None:
    short = {question.short for question in checklist(read_model(SMALL), load(SMALL).problems)}
    assert short <= {
        "invented",
        "without_source",
        "strengths",
        "unproved",
        "no_hazard",
        "cautions",
        "no_severity",
        "no_about",
        "unreached",
    }


def test_what_the_shipped_cart_never_reaches() -> None:
    """By hand: no situation presses the emergency button, so its row is one that nobody has tried."""
    model = read_model(find_model("workshop-power-cart"))
    (unreached,) = [q for q in checklist(model) if q.short == "unreached"]
    assert any("emergency_button pressed" in point.text for point in unreached.points)
