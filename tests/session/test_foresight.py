"""Working ahead changes nothing that a person sees, compiles what comes next, and never fails aloud."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from faultiso.engine import plan as plans
from faultiso.session.foresight import foresee
from tests.session.test_state import worked

SEEN = ("5", "display", "1,500", "cylinder", "slow", "")
AT_WORK = (*SEEN, "2", "1")


def test_the_same_is_advised_and_nothing_is_written() -> None:
    plain, ahead = worked(*AT_WORK), worked(*AT_WORK)
    lines = len(ahead.desk.log.entries)
    foresee(ahead.desk)
    assert len(ahead.desk.log.entries) == lines
    assert ahead.desk.state.readings == plain.desk.state.readings
    assert ahead.desk.advice.actions == plain.desk.advice.actions
    assert ahead.desk.belief.faults == plain.desk.belief.faults


@pytest.mark.parametrize("lines", [SEEN, AT_WORK], ids=["reports", "work"])
def test_nothing_is_compiled_when_the_answer_comes(
    lines: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    session = worked(*lines)
    foresee(session.desk)
    compiled: list[Any] = []
    monkeypatch.setattr("faultiso.belief.scene.compile_plan", _counting(plans.compile_plan, compiled))
    for line in ("2", "1") if lines == SEEN else ("", "in"):
        session.take(line)
    _ = session.desk.advice
    assert not compiled


@pytest.mark.parametrize(
    ("before", "answers"),
    [
        (SEEN, ("2", "1")),
        (SEEN, ("1", "1")),
        ((*SEEN, "2"), ("",)),
        (AT_WORK, ("", "in")),
        (AT_WORK, ("", "out")),
    ],
    ids=["others not known", "others normal", "as parked", "advised, in", "advised, out"],
)
def test_a_likely_answer_finds_everything_ready(
    before: tuple[str, ...], answers: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    session, plain = worked(*before), worked(*before, *answers)
    foresee(session.desk)
    ready = [belief for _, belief, _ in session.desk._foreseen[1]]
    for line in answers:
        session.take(line)
    assert any(session.desk.belief is belief for belief in ready)
    assert session.desk.advice.actions == plain.desk.advice.actions
    assert session.desk.belief.faults == plain.desk.belief.faults


def test_an_answer_that_was_not_foreseen_is_worked_out() -> None:
    lines = (*AT_WORK, "temperature")
    session, plain = worked(*lines), worked(*lines, "nk")
    foresee(session.desk)
    ready = [belief for _, belief, _ in session.desk._foreseen[1]]
    session.take("nk")
    assert ready
    assert not any(session.desk.belief is belief for belief in ready)
    assert session.desk.advice.actions == plain.desk.advice.actions


def test_what_was_foreseen_is_forgotten_with_the_next_question() -> None:
    session = worked(*AT_WORK)
    foresee(session.desk)
    first = session.desk._foreseen
    session.take("")
    session.take("in")
    foresee(session.desk)
    assert session.desk._foreseen[0] > first[0]
    assert not any(belief in [b for _, b, _ in first[1]] for _, belief, _ in session.desk._foreseen[1])


def _counting(function: Callable[..., Any], calls: list[Any]) -> Callable[..., Any]:
    def counted(*arguments: Any, **named: Any) -> Any:
        calls.append(arguments)
        return function(*arguments, **named)

    return counted


def test_what_goes_wrong_ahead_is_not_told_ahead(monkeypatch: pytest.MonkeyPatch) -> None:
    session = worked(*AT_WORK)

    def fails(*_: Any) -> None:
        raise RuntimeError("not now")

    monkeypatch.setattr("faultiso.session.foresight._answers", fails)
    foresee(session.desk)
    assert session.desk.working.acquire(blocking=False)
