"""What a reviewer has to look at in a model: questions that no program can answer, each with its places."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from faultiso.base.problems import Problem, Where
from faultiso.drafting.reach import Setting, responses_of, rows_reached
from faultiso.model.parts import Check, Component, Indication, Match, Repair
from faultiso.model.system import Model


@dataclass(frozen=True)
class Point:
    """One place to look at."""

    where: Where
    text: str


@dataclass(frozen=True)
class Question:
    """What is to be asked of every point below it. ``short``: its name for programs."""

    short: str
    text: str
    points: tuple[Point, ...]


def checklist(
    model: Model,
    problems: Sequence[Problem] = (),
    settings: Sequence[Setting] = (),
    truths: Iterable[str] | None = None,
) -> tuple[Question, ...]:
    """The questions that have points, in the order of a review.

    ``problems``: what checking the model found. ``settings``: conditions of its cases, ``truths``: the faults
    that these hide, None if there is no case.
    """
    hidden = set(truths) if truths is not None else None
    asked = [
        Question("warnings", "Told by model check. Is it so on purpose?", _told(problems)),
        Question("alike", "Faults that nothing tells apart. Is that the truth?", _told(problems, "alike")),
        Question("unrevealed", "Faults that nothing reveals. What would?", _told(problems, "unrevealed")),
        Question(
            "sourceless", "Rates without a source. Where do they come from?", _told(problems, "sourceless")
        ),
        *(Question(short, text, tuple(find(model))) for short, text, find in _OF_MODEL),
        Question(
            "unreached",
            "Rows and causes that no situation, no need of a check and no case reaches. Are they right?",
            tuple(_unreached(model, settings)),
        ),
        Question(
            "no_case",
            "Faults that no case hides. Has anybody tried them?",
            tuple(_no_case(model, hidden)) if hidden is not None else (),
        ),
    ]
    return tuple(question for question in asked if question.points)


_APART = ("alike", "unrevealed", "sourceless")


def _told(problems: Sequence[Problem], code: str = "") -> tuple[Point, ...]:
    """The problems of one kind; without one those of no kind that has a question of its own."""
    return tuple(
        Point(problem.where, problem.message)
        for problem in problems
        if (problem.code == code if code else problem.code not in _APART)
    )


def _invented(model: Model) -> Iterator[Point]:
    for fault in model.faults.values():
        if "invented" in fault.source.casefold():
            yield Point(fault.where, f"{fault.name}: rate {fault.rate:g}, {fault.source}")


def _without_source(model: Model) -> Iterator[Point]:
    for check in model.checks.values():
        if (check.miss or check.false_alarm) and not check.source:
            yield Point(
                check.where, f"{check.name}: misses {check.miss:g}, false alarms {check.false_alarm:g}"
            )


def _strengths(model: Model) -> Iterator[Point]:
    for quantity in model.quantities.values():
        said = [
            f"{cause.source} {level} {chance:g}"
            for cause in quantity.causes
            for response in cause.responses
            for chances in response.gives.values()
            for level, chance in chances.items()
        ]
        said += [f"leak {level} {chance:g}" for level, chance in quantity.leak.items()]
        if said:
            yield Point(quantity.where, f"{quantity.name}: {', '.join(dict.fromkeys(said))}")


def _unproved(model: Model) -> Iterator[Point]:
    for repair in model.repairs.values():
        proof = repair.verification
        if not (proof.minutes or proof.needs or proof.checks or proof.about or proof.inspection):
            yield Point(repair.where, f"{repair.name}: no verify")


def _harmless(model: Model) -> Iterator[Point]:
    actions: tuple[Check | Repair, ...] = (*model.checks.values(), *model.repairs.values())
    for action in actions:
        if action.work.minutes and not action.work.hazards:
            yield Point(action.where, action.name)
    for condition in model.conditions.values():
        bare = [value for value, change in condition.changes.items() if not change.hazards]
        if condition.settable and bare:
            yield Point(condition.where, f"{condition.name} to {', '.join(bare)}")


def _cautions(model: Model) -> Iterator[Point]:
    for caution in model.cautions.values():
        lacks = [name for name in ("precaution", "source") if not getattr(caution, name)]
        if lacks:
            yield Point(caution.where, f"{caution.name}: no {' and no '.join(lacks)}")


def _bare(model: Model) -> Iterator[Point]:
    if not model.about:
        yield Point(Where(model.file, 1, 1), "the model itself")
    parts: tuple[Component | Indication, ...] = (*model.components.values(), *model.indications.values())
    for part in parts:
        if not part.about:
            yield Point(part.where, part.name)


def _severities(model: Model) -> Iterator[Point]:
    """Only where somebody has begun to say them."""
    if any(fault.severity for fault in model.faults.values()):
        yield from (Point(fault.where, fault.name) for fault in model.faults.values() if not fault.severity)


_OF_MODEL: tuple[tuple[str, str, Callable[[Model], Iterator[Point]]], ...] = (
    ("invented", "Rates that are said to be invented. Are their ratios believable?", _invented),
    ("without_source", "Checks that may mislead, without a source. How often do they?", _without_source),
    ("strengths", "Strengths: how often does the one show as the other? They have no source.", _strengths),
    ("unproved", "Repairs that nothing proves. How is it known that they helped?", _unproved),
    ("no_hazard", "Work without a hazard. Can nothing hurt here?", _harmless),
    ("cautions", "Cautions that lack something.", _cautions),
    ("no_severity", "Faults without a severity, though others have one.", _severities),
    ("no_about", "Parts without about. Does an apprentice know what it is and means?", _bare),
)


def _unreached(model: Model, settings: Sequence[Setting]) -> Iterator[Point]:
    rows, responses = rows_reached(model, _everywhere(model, settings))
    for part in (*model.quantities.values(), *model.signs()):
        for number, rule in enumerate(part.rules):
            if (part.name, number) not in rows:
                yield Point(rule.where, f"{part.name}, row {number + 1}: {_words(rule.when)}")
    for quantity in model.quantities.values():
        for cause, number, when in responses_of(quantity):
            if (quantity.name, number) not in responses:
                yield Point(cause.where, f"{quantity.name}, cause {cause.source}: {_words(when)}")


def _everywhere(model: Model, settings: Sequence[Setting]) -> list[Setting]:
    """Every setting that somebody has thought of, each once."""
    needs = [match for check in model.checks.values() for match in check.work.needs]
    needs += [match for repair in model.repairs.values() for match in repair.verification.needs]
    brought = [{name: values[0] for name, values in match.items()} for match in needs]
    situations = [situation.values for situation in model.situations.values()]
    found = [model.start, *situations, *({**model.start, **each} for each in (*settings, *brought))]
    return list({tuple(sorted(setting.items())): setting for setting in found}.values())


def _words(when: Match) -> str:
    pairs = [f"{name} {' or '.join(values)}" for name, values in when.items()]
    return f"when {', '.join(pairs)}" if pairs else "when nothing else holds"


def _no_case(model: Model, hidden: set[str]) -> Iterator[Point]:
    yield from (Point(fault.where, fault.name) for fault in model.faults.values() if fault.name not in hidden)
