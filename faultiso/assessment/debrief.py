"""What a person is told afterwards: what each step was worth, what was missed, the truth, one lesson."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from faultiso.assessment.cautions import Missed, missed_cautions
from faultiso.assessment.lesson import lesson
from faultiso.assessment.passages import Passage
from faultiso.assessment.review import Review
from faultiso.assessment.shown import Shown, why_shown
from faultiso.assessment.verdict import Verdict
from faultiso.assessment.worth import Worth, action_words
from faultiso.casebook.case import Case
from faultiso.model.system import Model
from faultiso.session import words
from faultiso.session.desk import Desk, desk_at
from faultiso.session.ending import RECTIFIED, open_items
from faultiso.session.state import State

LIKELY = 0.02  # from which a set of faults is a candidate
MOST_UNITS = 6
_PROVED = "proved it"


@dataclass(frozen=True)
class Step:
    """One thing done. ``clock``: minutes of the job before it; ``candidates``: sets of faults that are still
    likely after it; ``better``: what would have been best from there, "" if it was as good."""

    number: int
    clock: float
    what: str
    title: str
    showed: str
    minutes: float
    told: str
    silent: str
    better: str
    candidates: int
    worth: Worth = field(repr=False)
    line: int = 0


@dataclass(frozen=True)
class Course:
    """Chances of units over time: ``chances[unit][k]`` after ``k`` steps (0: the complaint alone)."""

    units: tuple[str, ...]
    titles: tuple[str, ...]
    chances: tuple[tuple[float, ...], ...]
    nothing: tuple[float, ...]


@dataclass(frozen=True)
class Debrief:
    """Everything that a debrief says, in words and figures; what is shown is made from this alone."""

    case: Case
    model: Model = field(repr=False)
    mode: str
    candidate: str
    minutes: float
    man_minutes: float
    verdict: Verdict
    found: str
    truth: tuple[str, ...]
    steps: tuple[Step, ...]
    course: Course
    shown: tuple[Shown, ...]
    missed: tuple[Missed, ...]
    open: tuple[str, ...]
    stated: tuple[tuple[int, tuple[tuple[str, float], ...]], ...]
    references: tuple[str, ...]
    hints: int
    disputes: tuple[str, ...]
    lesson: str


def debrief(found: Review) -> Debrief:
    """The debrief of a session that was looked back on."""
    case, model, state, base = found.case, found.model, found.state, found.base
    pairs = zip(found.done, found.worths, strict=True)
    steps = tuple(_step(passage, worth, desk_at(base, passage.after)) for passage, worth in pairs)
    outcome = found.verdict
    if outcome.how == RECTIFIED and set(case.truth) & set(outcome.remains):
        steps = _misled_by_proof(steps)
    missed = missed_cautions(model, state, [step.title for step in steps])
    shown = why_shown(case, model, state)
    return Debrief(
        case=case,
        model=model,
        mode=str(state.began.get("mode", "")),
        candidate=str(state.began.get("candidate", "")),
        minutes=state.course.minutes,
        man_minutes=state.course.man_minutes,
        verdict=outcome,
        found=state.end.what if state.end else "",
        truth=tuple(words.fault_words(model, name) for name in case.truth),
        steps=steps,
        course=_course(base, case, found.done, state),
        shown=shown,
        missed=missed,
        open=open_items(state),
        stated=_stated(model, state),
        references=state.references,
        hints=state.hints,
        disputes=tuple(d.text or words.sign_title(model, d.sign) for d in state.disputes),
        lesson=lesson(case, model, outcome, steps, missed, state),
    )


def _step(passage: Passage, found: Worth, after: Desk) -> Step:
    model, deed = after.model, passage.deed
    best = found.best
    better = action_words(best) if best is not None and not found.as_good else ""
    silent = words.settings_words(model, found.silent.because) or "these conditions" if found.silent else ""
    return Step(
        number=len(passage.before.deeds) + 1,
        clock=passage.before.minutes,
        what=deed.what,
        title=_title(passage),
        showed=deed.answer,
        minutes=deed.minutes,
        told=_told(passage, found),
        silent=silent,
        better=better,
        candidates=_candidates(after),
        worth=found,
        line=deed.line,
    )


def _title(passage: Passage) -> str:
    """What was done; of a change of conditions the situation that it led to, if it has a name."""
    deed, model = passage.deed, passage.after.model
    now = passage.after.course.conditions
    if deed.what == "set":
        for situation in model.situations.values():
            if all(now[name] == value for name, value in situation.values.items()):
                return f"set: {situation.title}"
    return words.deed_title(model, deed.what, deed.name)


def _told(passage: Passage, found: Worth) -> str:
    if passage.deed.what == "verify":
        repair = passage.after.last_repair
        return _PROVED if repair and repair.proof == "passed" else "not proved"
    return found.told or "-"


def _misled_by_proof(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The same steps; the last proof that passed says that what is wrong did not show in it."""
    last = max((place for place, step in enumerate(steps) if step.told == _PROVED), default=-1)
    told = "normal; it stays"
    return tuple(replace(step, told=told) if place == last else step for place, step in enumerate(steps))


def _candidates(desk: Desk) -> int:
    if not desk.can_tell:
        return 0
    return sum(1 for d in desk.belief.leaders if d.faults and d.probability >= LIKELY)


def _course(base: Desk, case: Case, done: Sequence[Passage], state: State) -> Course:
    """The chances of the units that were ever likely, and of those that were wrong."""
    states = [passage.before for passage in done[:1]] + [passage.after for passage in done] or [state]
    desks = [desk_at(base, there) for there in states]
    chances = [desk.belief.components if desk.can_tell else {} for desk in desks]
    wrong = {name.partition(".")[0] for name in case.truth}
    highest = {name: max(at.get(name, 0.0) for at in chances) for name in base.model.components}
    ranked = sorted(highest, key=lambda name: (name not in wrong, -highest[name]))
    units = [name for name in ranked if name in wrong or highest[name] >= LIKELY][:MOST_UNITS]
    return Course(
        tuple(units),
        tuple(base.model.components[name].title for name in units),
        tuple(tuple(at.get(name, 0.0) for at in chances) for name in units),
        tuple(desk.belief.none_modelled if desk.can_tell else 0.0 for desk in desks),
    )


def _stated(model: Model, state: State) -> tuple[tuple[int, tuple[tuple[str, float], ...]], ...]:
    """What was believed, in words: after how many steps, then pairs of unit and per cent."""
    return tuple(
        (stated.deeds, tuple((words.subject_words(model, n), percent) for n, percent in stated.says.items()))
        for stated in state.beliefs
        if stated.says
    )


def record(found: Debrief) -> dict[str, Any]:
    """The debrief for a JSON document."""
    data = {
        "case": found.case.name, "title": found.case.title, "model": found.model.name, "mode": found.mode,
        "candidate": found.candidate, "minutes": found.minutes, "man_minutes": found.man_minutes,
        "end": found.verdict.how, "right": found.verdict.right, "found": found.found,
        "truth": list(found.case.truth), "remains": list(found.verdict.remains),
        "left_behind": list(found.verdict.left_behind), "open": list(found.open),
        "good_units_removed": [unit.repair for unit in found.verdict.good_units],
        "missed": [asdict(item) for item in found.missed], "hints": found.hints,
        "references": list(found.references), "disputes": list(found.disputes), "lesson": found.lesson,
    }  # fmt: skip
    steps = [
        {
            "step": s.number, "clock": s.clock, "what": s.what, "title": s.title, "showed": s.showed,
            "minutes": s.minutes, "told": s.told, "silent": s.silent, "better": s.better,
            "candidates": s.candidates, "loss": round(s.worth.loss, 2), "line": s.line,
        }
        for s in found.steps
    ]  # fmt: skip
    course = dict(zip(found.course.units, (list(c) for c in found.course.chances), strict=True))
    return {**data, "steps": steps, "belief": course}
