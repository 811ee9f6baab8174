"""From a belief to a whole plan to print, with what the model says of each step.

What a chart leaves out is said in sentences with the plan: sets of faults that are not among the leading,
checks that tell little, and that checks are taken as independent of each other once the faults are known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from faultiso.base.problems import UsageError
from faultiso.belief.belief import Belief
from faultiso.belief.looks import Look
from faultiso.model.effort import effort, reach
from faultiso.model.parts import Check as ModelCheck
from faultiso.model.parts import Work
from faultiso.planning.advice import ENOUGH_NOTHING
from faultiso.planning.posing import Limits, Posed, likely_sets
from faultiso.planning.sequencing.planned import best_plan
from faultiso.planning.tree import Branch, Candidate, Plan, Step


def chart_plan(belief: Belief, seconds: float = 10.0, limits: Limits | None = None) -> Plan:
    """The best plan that a limited time finds, with its certificate, from what was read so far.

    Raises ``UsageError`` where nothing can be planned: no fault is likely, or no repair is possible here.
    """
    posed = pose(belief, limits)
    plan = _Dressed(belief, posed).plan(best_plan(posed.problem, seconds))
    return replace(plan, left_out=(*_left_out(posed), *plan.left_out))


def pose(belief: Belief, limits: Limits | None = None, seen: Sequence[Look] = ()) -> Posed:
    """The problem of a chart; ``seen``: looks at other situations that are judged already, if any are.

    Raises ``UsageError`` where no fault is likely.
    """
    limits = limits or Limits()
    sets = likely_sets(belief, limits)
    if not any(sets) or belief.none_modelled > ENOUGH_NOTHING:
        raise UsageError("nothing modelled is likely to be wrong, so there is no fault to chart; report more")
    return Posed(belief, sets, limits, tuple(seen))


def _left_out(posed: Posed) -> Iterator[str]:
    problem, belief = posed.problem, posed.belief
    share = 1.0 - sum(belief.leading.posterior[: posed.limits.sets].tolist())
    planned = len([p for p in problem.prior.tolist() if p > 0])
    yield (f"Planned for the {planned} likeliest sets of faults; others have {max(share, 0.0):.0%} together.")
    yield (
        f"Of what could be read, the {len(problem.checks)} that tell most for their minutes; each as "
        "if the faults alone decided it, whatever the others showed."
    )


class _Dressed:
    """Adds to each step of a plan what it needs of the model: work and changes of conditions."""

    def __init__(self, belief: Belief, posed: Posed) -> None:
        self.belief, self.posed = belief, posed
        self._done: dict[int, Step] = {}

    def plan(self, plan: Plan) -> Plan:
        return replace(plan, first=self._step(plan.first))

    def _step(self, step: Step) -> Step:
        if id(step) not in self._done:
            branches = tuple(Branch(b.outcome, b.probability, self._step(b.step)) for b in step.branches)
            self._done[id(step)] = self._dressed(replace(step, branches=branches))
        return self._done[id(step)]

    def _dressed(self, step: Step) -> Step:
        model = self.belief.model
        candidates = tuple(
            Candidate(c.faults or ("nothing modelled",), c.probability) for c in step.candidates
        )
        if step.name in model.indications:
            return replace(step, kind="look", candidates=candidates)
        if step.name in self.posed.looks:
            return replace(
                step, kind="change of conditions", candidates=candidates, changes=self._situation(step.name)
            )
        part: ModelCheck | None = model.checks.get(step.name)
        work = part.work if part else model.repairs[step.name].work if step.name in model.repairs else None
        taken = effort(model, work, self.belief.standing) if work else None
        changes = self._needed(work, taken.standing.conditions) if work and taken else {}
        return replace(step, work=work, changes=changes, candidates=candidates)

    def _situation(self, name: str) -> dict[str, str]:
        """What is to be set for a situation, from how things stand now."""
        wanted = self.belief.model.situations[name].values
        now = self.belief.standing.conditions
        found = reach(self.belief.model, ({n: (v,) for n, v in wanted.items()},), now)
        there = found[1] if found else {}
        return {n: v for n, v in there.items() if v != now[n] and self.belief.model.conditions[n].settable}

    def _needed(self, work: Work, there: Mapping[str, str]) -> dict[str, str]:
        """How it has to stand, also where it stands so at first: a step before may have changed it."""
        named = {name for match in work.needs for name in match}
        found = {name: there[name] for name in there if name in named and name not in work.sets}
        return {name: value for name, value in found.items() if self.belief.model.conditions[name].settable}
