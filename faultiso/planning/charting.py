"""From a belief to a whole plan: the leading sets of faults, what can tell them apart, and what mends them.

What a chart leaves out is said in sentences with the plan: sets of faults that are not among the leading,
checks that tell little, and that checks are taken as independent of each other once the faults are known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.belief.belief import Belief
from faultiso.belief.value import OpenSign
from faultiso.model.effort import effort
from faultiso.model.parts import Check as ModelCheck
from faultiso.model.parts import Work
from faultiso.model.system import Model
from faultiso.planning.advice import ENOUGH_NOTHING, HANDLING_MINUTES
from faultiso.planning.outlook import SERVICEABLE_MINUTES
from faultiso.planning.sequencing.planned import best_plan
from faultiso.planning.sequencing.problem import Check, Costs, Problem, Repair
from faultiso.planning.tree import Branch, Candidate, Plan, Step

MOST_SETS = 12
MOST_CHECKS = 12
ENOUGH = 0.99  # of the belief is planned for, if so few sets hold it
LEAST_BITS = (
    0.06  # about the leading sets, that a check must tell; with 0.01 three times the steps save 1 min
)


def chart_plan(belief: Belief, seconds: float = 10.0) -> Plan:
    """The best plan that a limited time finds, with its certificate, from what was read so far.

    Raises ``UsageError`` where nothing can be planned: no fault is likely, or no repair is possible here.
    """
    sets = _sets(belief)
    names = tuple(sorted({name for chosen in sets for name in chosen}))
    if not names or belief.none_modelled > ENOUGH_NOTHING:
        raise UsageError("nothing modelled is likely to be wrong, so there is no fault to chart; report more")
    problem = _problem(belief, sets, names)
    plan = _Dressed(belief).plan(best_plan(problem, seconds))
    return replace(plan, left_out=(*_left_out(belief, problem), *plan.left_out))


def _sets(belief: Belief) -> tuple[frozenset[str], ...]:
    """The leading sets that hold enough, and all that repairs may leave of them."""
    chosen: dict[frozenset[str], None] = {frozenset(): None}
    covered = 0.0
    pairs = zip(belief.leading.sets, belief.leading.posterior.tolist(), strict=True)
    for faults, chance in list(pairs)[:MOST_SETS]:
        if covered >= ENOUGH:
            break
        covered += chance
        chosen |= dict.fromkeys(_parts_of(faults))
    return tuple(chosen)


def _parts_of(faults: frozenset[str]) -> Iterator[frozenset[str]]:
    """The set and every set that is left when some of its faults are gone."""
    ordered = sorted(faults)
    for mask in range((1 << len(ordered)) - 1, -1, -1):
        yield frozenset(name for bit, name in enumerate(ordered) if mask >> bit & 1)


def _problem(belief: Belief, sets: Sequence[frozenset[str]], names: tuple[str, ...]) -> Problem:
    bit = {name: 1 << place for place, name in enumerate(names)}
    chances = dict(zip(belief.leading.sets, belief.leading.posterior.tolist(), strict=True))
    prior = np.array([chances.get(chosen, 0.0) for chosen in sets])
    return Problem(
        faults=tuple(_fault_title(belief.model, name) for name in names),
        states=tuple(sum(bit[name] for name in chosen) for chosen in sets),
        prior=prior / prior.sum(),
        checks=tuple(_checks(belief, sets)),
        repairs=tuple(_repairs(belief, bit)),
        costs=Costs(
            refer=belief.model.refer_minutes,
            serviceable=SERVICEABLE_MINUTES,
            false_verified=2 * belief.model.refer_minutes,
        ),
    )


def _checks(belief: Belief, sets: Sequence[frozenset[str]]) -> Iterator[Check]:
    """The unread signs that tell most for their minutes, as each set sees them."""
    told = [sign for sign in belief.open.values() if sign.bits >= LEAST_BITS]
    told.sort(key=lambda sign: -sign.bits / _minutes(belief, sign.name))
    place = {chosen: number for number, chosen in enumerate(belief.leading.sets)}
    for sign in told[:MOST_CHECKS]:
        part = belief.prospects[sign.name].sign
        words = [part.outcome_titles.get(o, o.replace("_", " ")) for o in sign.outcomes]
        given = np.array([_row(sign, place.get(chosen)) for chosen in sets])
        yield Check(sign.name, part.title, _minutes(belief, sign.name), tuple(words), given)


def _row(sign: OpenSign, place: int | None) -> np.ndarray:
    """What a set makes of a sign; of a set that the readings exclude nothing is known."""
    row = sign.given[place] if place is not None else sign.spread
    total = row.sum()
    return np.asarray(row / total if total > 0 else sign.spread / sign.spread.sum())


def _minutes(belief: Belief, name: str) -> float:
    work = belief.prospects[name].effort
    return HANDLING_MINUTES + (work.minutes if work else 0.0)


def _repairs(belief: Belief, bit: dict[str, int]) -> Iterator[Repair]:
    """What mends some of the faults; of repairs that clear the same ones, the quickest."""
    found: dict[int, Repair] = {}
    for repair in belief.model.repairs.values():
        clears = sum(bit[name] for name in repair.clears if name in bit)
        work = effort(belief.model, repair.work, belief.standing) if clears else None
        if work is None:
            continue
        minutes = work.minutes + repair.verification.minutes
        option = Repair(repair.name, repair.title, minutes, clears, fails=repair.fails)
        if clears not in found or minutes < found[clears].minutes:
            found[clears] = option
    yield from found.values()


def _fault_title(model: Model, name: str) -> str:
    component, _, _ = name.partition(".")
    return f"{model.components[component].title}: {model.faults[name].title}"


def _left_out(belief: Belief, problem: Problem) -> Iterator[str]:
    share = 1.0 - sum(belief.leading.posterior[:MOST_SETS].tolist())
    planned = len([p for p in problem.prior.tolist() if p > 0])
    yield (f"Planned for the {planned} likeliest sets of faults; others have {max(share, 0.0):.0%} together.")
    yield (
        f"Of what could be read, the {len(problem.checks)} signs that tell most for their minutes; each as "
        "if the faults alone decided it, whatever the others showed."
    )


class _Dressed:
    """Adds to each step of a plan what it needs of the model: work and changes of conditions."""

    def __init__(self, belief: Belief) -> None:
        self.belief = belief
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
            return replace(step, kind="look", minutes=0.0, candidates=candidates)
        part: ModelCheck | None = model.checks.get(step.name)
        work = part.work if part else model.repairs[step.name].work if step.name in model.repairs else None
        taken = effort(model, work, self.belief.standing) if work else None
        changes = self._needed(work, taken.standing.conditions) if work and taken else {}
        minutes = taken.minutes if taken and part else step.minutes
        return replace(step, work=work, changes=changes, candidates=candidates, minutes=minutes)

    def _needed(self, work: Work, there: Mapping[str, str]) -> dict[str, str]:
        """How it has to stand, also where it stands so at first: a step before may have changed it."""
        named = {name for match in work.needs for name in match}
        found = {name: there[name] for name in there if name in named and name not in work.sets}
        return {name: value for name, value in found.items() if self.belief.model.conditions[name].settable}
