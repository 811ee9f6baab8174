"""Whether a case can be worked: its complaint, its pins and its end against what the model says."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from faultiso.base.problems import Problem, TooLarge
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.case import Case
from faultiso.casebook.difficulty import Difficulty
from faultiso.casebook.findings import Findings, Numbers
from faultiso.casebook.repairing import Stuck
from faultiso.model.effort import effort
from faultiso.model.system import Model
from faultiso.planning.advice import UNEXPLAINED

LEAST_CHANCE = 1e-4  # P(complaint | truth) below which a complaint does not come of the truth
IMPROBABLE = 0.01  # chance of a pin below which its author is asked to look again
IMPOSSIBLE = 1e-9


@dataclass(frozen=True)
class Checked:
    """``findings`` is None where the reports contradict each other, or are too much to reason about."""

    findings: Findings | None
    problems: tuple[Problem, ...]


def check_case(
    case: Case, model: Model, reasoner: Reasoner | None = None, found: Difficulty | None = None
) -> Checked:
    """Judge a case that was read without an error; a ``reasoner`` of its model spares compiling it again.

    ``found``: its difficulty, if that is known but for what stays alike.
    """
    numbers = Numbers(case, model, reasoner or Reasoner(model), found)
    try:
        if not numbers.belief.possible:
            names = "; ".join(str(reading) for reading in numbers.belief.contradiction)
            message = f"these reports cannot all be right: {names}"
            return Checked(None, (Problem("contradiction", case.place("seen"), message),))
        problems = [problem for judge in _JUDGES for problem in judge(numbers)]
        findings = numbers.findings()
    except TooLarge as error:
        return Checked(None, (Problem("size", case.place("seen"), str(error)),))
    return Checked(findings, tuple(sorted(problems, key=lambda problem: problem.where)))


def _of_complaint(numbers: Numbers) -> Iterator[Problem]:
    """A complaint that the truth would hardly ever give."""
    chance = math.exp(numbers.log_complaint)
    if chance < LEAST_CHANCE and not numbers.case.beyond_model:
        message = (
            f"P(complaint | truth) is {chance:.2g}; expected at least {LEAST_CHANCE:g}: with this truth the "
            "system would hardly ever show what is reported"
        )
        yield Problem("complaint", numbers.case.place("seen"), message)


def _of_the_model(numbers: Numbers) -> Iterator[Problem]:
    """What is read must look unexplained where it lies beyond the model, and nowhere else."""
    case, chance = numbers.case, numbers.unexplained
    if case.beyond_model and chance <= UNEXPLAINED:
        message = (
            f"the model explains all that is read: P(something unmodelled | all) is {chance:.2g}; "
            f"expected more than {UNEXPLAINED:g}, by reports or pins that it cannot explain"
        )
        yield Problem("beyond_model", case.place("beyond_model"), message)
    if not case.beyond_model and chance > UNEXPLAINED:
        message = (
            "whoever works it is told at once that something is misread or not in the model: P is "
            f"{chance:.2g}; expected at most {UNEXPLAINED:g}, say by a second report of the same"
        )
        yield Problem("unexplained", case.place("seen"), message, severity="warning")


def _of_pins(numbers: Numbers) -> Iterator[Problem]:
    """Pins that are impossible, an error unless beyond the model, or improbable."""
    if numbers.case.beyond_model:
        return
    for number, (alone, after) in enumerate(numbers.pins):
        chance = min(alone, after)
        where = numbers.case.place("pins", number)
        given = "the truth and the complaint" + ("" if chance == alone else ", and the pins before it")
        if chance < IMPOSSIBLE:
            yield Problem("pin", where, f"this pin is impossible, given {given}; or say beyond_model: yes")
        elif chance < IMPROBABLE:
            message = f"this pin is improbable: {chance:.2g}, given {given}"
            yield Problem("pin", where, message, severity="warning")


def _of_end(numbers: Numbers) -> Iterator[Problem]:
    """A right end, or a check of the prescribed order, that cannot be reached from now."""
    case, model = numbers.case, numbers.model
    if isinstance(numbers.way, Stuck):
        message = f"from where things stand now the right end cannot be reached: {numbers.way.reason}"
        yield Problem("solvable", case.place("now"), message)
    standing = numbers.now
    for number, name in enumerate(case.prescribed_order):
        work = effort(model, model.checks[name].work, standing)
        if work is None:
            message = f'"{name}" cannot be made from where things stand then: its needs cannot be met'
            yield Problem("solvable", case.place("prescribed_order", number), message)
        else:
            standing = work.standing


def _of_difficulty(numbers: Numbers) -> Iterator[Problem]:
    """A difficulty that is stated otherwise than it is computed."""
    stated, computed = numbers.case.difficulty, numbers.difficulty
    if stated and computed and stated != computed.level:
        message = f'"{stated}" is stated; computed is {computed.level} ({computed.score:.2f})'
        where = numbers.case.place("difficulty")
        yield Problem("difficulty", where, message, computed.level, severity="warning")


_JUDGES = (_of_complaint, _of_the_model, _of_pins, _of_end, _of_difficulty)
