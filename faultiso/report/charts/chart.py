"""A plan as a chart: numbered steps in words, ready for any kind of output.

Everything foreign is cleaned here, once. Like steps are one step, printed once and referred to by number.
"""

from __future__ import annotations

from dataclasses import dataclass

from faultiso.base.notice import Subject
from faultiso.base.text import one_line
from faultiso.model.system import Model
from faultiso.planning.tree import Candidate, Certificate, Plan, Step, StepKind, steps_in_order
from faultiso.report.charts.needed import before, cautions_of, left_set, proof

#: Chances that are not followed are told from here on: below it they are what rounding leaves.
_TOLD = 1e-6


@dataclass(frozen=True)
class Way:
    """What a step may show, its probability there, and the number of the step that it leads to."""

    outcome: str
    probability: float
    to: int


@dataclass(frozen=True)
class Entry:
    """One numbered step. ``reach``: probability of coming to it; ``came_from``: numbers of the steps that
    lead to it; ``before``, ``after``: sentences on what it needs and leaves; ``cautions``: names of hazards;
    ``not_followed``: probability of outcomes that the plan does not follow."""

    number: int
    kind: StepKind
    name: str
    title: str
    minutes: float
    expected_minutes: float
    reach: float
    ways: tuple[Way, ...]
    came_from: tuple[int, ...]
    candidates: tuple[Candidate, ...]
    before: tuple[str, ...]
    after: tuple[str, ...]
    cautions: tuple[str, ...]
    cut: str
    not_followed: float


@dataclass(frozen=True)
class Chart:
    """A plan in words. ``complaint``: what it starts from; ``cautions``: hazard -> (title, text in full)."""

    title: str
    subject: Subject
    complaint: str
    entries: tuple[Entry, ...]
    certificate: Certificate
    left_out: tuple[str, ...]
    cautions: dict[str, tuple[str, str]]

    def entry(self, number: int) -> Entry:
        """The step with this number."""
        return self.entries[number - 1]


def chart_of(plan: Plan, model: Model | None = None, title: str = "", complaint: str = "") -> Chart:
    """The chart of a plan. ``title`` is by default that of the model; ``complaint``: the write-up in words.

    A model adds what its steps need and leave, the cautions of their hazards and what the chart is about.
    """
    numbered = list(steps_in_order(plan))
    number_of = {id(step): number for number, step, _ in numbered}
    sources: dict[int, list[int]] = {}
    for number, step, _ in numbered:
        for branch in step.branches:
            sources.setdefault(number_of[id(branch.step)], []).append(number)
    entries = tuple(
        _entry(number, step, reach, number_of, tuple(dict.fromkeys(sources.get(number, ()))), model)
        for number, step, reach in numbered
    )
    hazards = dict.fromkeys(name for entry in entries for name in entry.cautions)
    return Chart(
        title=one_line(title or (model.title if model else "")),
        subject=model.subject if model else "",
        complaint=one_line(complaint, 1000),
        entries=entries,
        certificate=plan.certificate,
        left_out=tuple(one_line(sentence, 1000) for sentence in plan.left_out),
        cautions={name: _caution(name, model) for name in hazards},
    )


def _entry(
    number: int,
    step: Step,
    reach: float,
    number_of: dict[int, int],
    came_from: tuple[int, ...],
    model: Model | None,
) -> Entry:
    likeliest_first = sorted(step.branches, key=lambda branch: -branch.probability)
    ways = (Way(one_line(b.outcome), b.probability, number_of[id(b.step)]) for b in likeliest_first)
    unfollowed = 1.0 - sum(branch.probability for branch in step.branches)
    return Entry(
        number=number,
        kind=step.kind,
        name=one_line(step.name),
        title=one_line(step.title),
        minutes=step.minutes,
        expected_minutes=step.expected_minutes,
        reach=reach,
        ways=tuple(ways),
        came_from=came_from,
        candidates=tuple(Candidate(tuple(map(one_line, c.faults)), c.probability) for c in step.candidates),
        before=before(step, model),
        after=(*proof(step, model), *left_set(step, model)),
        cautions=cautions_of(step, model),
        cut=one_line(step.cut or "", 1000),
        not_followed=unfollowed if step.branches and unfollowed > _TOLD else 0.0,
    )


def _caution(name: str, model: Model | None) -> tuple[str, str]:
    caution = model.cautions.get(name) if model else None
    if caution is None:
        return one_line(name.replace("_", " ")), ""
    return one_line(caution.title), one_line(f"{caution.text} {caution.precaution}", 2000)
