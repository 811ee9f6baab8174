"""Positions are judged once, and neither what was judged before nor how closely changes a mark."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from faultiso.assessment import memory as module
from faultiso.assessment.basis import Advised, Mending
from faultiso.assessment.basis_text import advised_of, mending_of, told_of, written
from faultiso.assessment.grade import record
from faultiso.assessment.grading import grade
from faultiso.assessment.memory import Memory, position
from faultiso.assessment.outcome import outcome
from faultiso.assessment.passages import Passage, passages
from faultiso.assessment.review import Review, looked_back
from faultiso.assessment.rubric import shipped_rubric
from faultiso.planning.advice import Action
from faultiso.session.desk import events_of
from faultiso.session.state import State
from tests.practice.frame import CART, case_of
from tests.practice.test_answers import WALKS, done

CASE, MODEL = case_of(CART)
RUBRIC = shipped_rubric()
MEMORY = Memory()
STEPS = (
    "fan test",
    "level glass",
    "measure the case-drain flow",
    "replace the fan thermostat",
    "",
    "1",
    "ready",
)
Replayed = tuple[tuple[Passage, ...], State]


def replayed(lines: list[str] | tuple[str, ...]) -> Replayed:
    return passages(MODEL, events_of(done(lines).desk.log.entries))


def review(found: Replayed, memory: Memory, closely: bool = False) -> Review:
    return looked_back(CASE, *found, memory, closely=closely)


@settings(max_examples=25)
@given(lines=WALKS)
def test_marks_are_the_same_whether_or_not_all_is_judged(lines: list[str]) -> None:
    found = replayed(lines)
    closely, quickly = review(found, MEMORY, closely=True), review(found, MEMORY)
    assert outcome(closely, RUBRIC) == outcome(quickly, RUBRIC)


@settings(max_examples=8)
@given(lines=WALKS)
def test_what_was_judged_before_changes_nothing(lines: list[str]) -> None:
    found = replayed(lines)
    assert review(found, Memory(most=1)).worths == review(found, MEMORY).worths


def test_a_position_is_judged_once_whatever_was_done_from_it(monkeypatch: pytest.MonkeyPatch) -> None:
    judged: list[str] = []
    monkeypatch.setattr(module, "advised_at", lambda desk: judged.append(position(desk.state)))
    memory = Memory()
    for lines in (["fan test"], ["level glass"], ["fan test"], ["measure the case-drain flow"]):
        review(replayed(lines), memory, closely=True)
    assert len(judged) == len(set(judged)) == 1


def test_a_new_reasoner_judges_as_the_old_one(monkeypatch: pytest.MonkeyPatch) -> None:
    found = replayed(STEPS)
    old = review(found, Memory(), closely=True)
    monkeypatch.setattr(module, "DESKS_OF_A_REASONER", 1)
    assert review(found, Memory(), closely=True).worths == old.worths
    backwards = Memory()
    for passage in reversed(found[0]):
        backwards.advised(passage.before)
    assert review(found, backwards, closely=True).worths == old.worths


def test_positions_are_told_apart_by_all_that_counts() -> None:
    steps, end = replayed(STEPS)
    states = [passage.before for passage in steps] + [end]
    assert len({position(state) for state in states}) == len(states) >= 4
    assert position(replayed(STEPS)[1]) == position(end)


class Shelf:
    """A place where texts are kept, and one for every answer."""

    def __init__(self, answer: str | None = None) -> None:
        self.texts: dict[str, str] = {}
        self.answer = answer

    def get(self, key: str) -> str | None:
        return self.answer or self.texts.get(key)

    def put(self, key: str, text: str) -> None:
        self.texts[key] = text


def test_what_is_kept_is_not_judged_again(monkeypatch: pytest.MonkeyPatch) -> None:
    found, shelf = replayed(STEPS), Shelf()
    first = review(found, Memory(shelf), closely=True)
    for judge in ("advised_at", "mending_at", "told_at"):
        monkeypatch.delattr(module, judge)
    assert review(found, Memory(shelf), closely=True).worths == first.worths
    assert record(grade(first, RUBRIC))["mark"] >= 0


@pytest.mark.parametrize("text", ["", "[]", '{"best": {}}', "nonsense", "[1, 2", '{"chance": 1}'])
def test_a_text_that_makes_no_sense_is_passed_over(text: str) -> None:
    found = replayed(STEPS)
    assert review(found, Memory(Shelf(text))).worths == review(found, MEMORY).worths


ACTION = Action("check", "fan_push", "fan test", 0.1 + 0.2, 1 / 3)


def test_what_is_written_reads_the_same_to_the_last_digit() -> None:
    found = Advised(ACTION, 1 / 7, {"a": 1e-17, "b": -0.0})
    assert advised_of(written(found)) == found
    assert mending_of(written(Mending(1 / 3, 2 / 3))) == Mending(1 / 3, 2 / 3)
    assert told_of(written("much")) == "much"
    assert advised_of(written(None)) is None and mending_of(written(None)) is None


def test_what_does_not_fit_in_a_small_memory_is_judged_by_complaint_and_last_visit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = replayed(STEPS)
    usual = review(found, Memory())
    monkeypatch.setattr(module, "QUICK_MEMORY", 1)
    short = review(found, Memory())
    assert [w.minutes for w in short.worths] == [w.minutes for w in usual.worths]
    assert [w.expected is None for w in short.worths] == [w.expected is None for w in usual.worths]
