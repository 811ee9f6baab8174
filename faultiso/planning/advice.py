"""What to do next: check, repair, refer or stop, by expected minutes to a verified fix, one step ahead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.belief.looks import Look, looks
from faultiso.belief.value import OpenSign
from faultiso.model.parts import Check
from faultiso.network.network import Array
from faultiso.planning.outlook import Outlook, outlook
from faultiso.planning.repairs import RepairStep, expected_costs, repair_order

ENOUGH_NOTHING = 0.9  # probability of "nothing modelled" at which no fault found is proposed
CLOSE_MINUTES, CLOSE_SHARE = 5.0, 0.1  # within these two actions are equally good
UNEXPLAINED = 0.5  # P(a leak or a wrong reading | readings) from which isolation stops
LEAST_SAVING, LEAST_SHARE = 0.5, 0.005  # minutes, and share of what is ahead, that a reading must save
HANDLING_MINUTES = 0.5  # what any look or check costs beside its minutes: asking, walking, writing down
RATE_DOUBT = 3.0  # rates are good to a factor of three at best

Kind = Literal["check", "look", "change of conditions", "repair", "refer", "no fault found", "read again"]


@dataclass(frozen=True)
class Action:
    """Something that could be done next. ``expected_minutes``: to a verified fix, the action included."""

    kind: Kind
    name: str
    title: str
    minutes: float
    expected_minutes: float


@dataclass(frozen=True)
class Advice:
    """The next action and what stands behind it.

    ``actions`` best first; ``minutes_saved`` of each check against going straight to the repair order;
    ``looks``: other situations that were judged by what everything would show there. ``holds`` says whether
    the choice stays as good with all rates times three and over three.
    """

    action: Action
    actions: tuple[Action, ...]
    straight_to_repair: float
    minutes_saved: Mapping[str, float]
    order: tuple[RepairStep, ...]
    holds: bool
    close_with: Action | None
    looks: tuple[Look, ...] = ()

    @property
    def reason(self) -> str:
        return _reason(self)


class Advisor:
    """Advice for one belief; the parts are computed once, when asked for."""

    def __init__(self, belief: Belief) -> None:
        self.belief = belief
        self._looks: tuple[Look, ...] = ()

    @cached_property
    def outlook(self) -> Outlook:
        return outlook(self.belief)

    @cached_property
    def order(self) -> tuple[RepairStep, ...]:
        return repair_order(self.outlook)

    def advise(self, with_looks: int = 0) -> Advice:
        """The best next action, judged again with the rates three times higher and lower.

        ``with_looks``: how many other situations are judged by what everything would show there together.
        """
        self._looks = looks(self.belief, with_looks) if with_looks else ()
        judged = self._judge((1.0, RATE_DOUBT, 1.0 / RATE_DOUBT))
        if self.belief.unexplained > UNEXPLAINED:
            return self._stop(judged[0])
        best = judged[0].actions[0]
        second = judged[0].actions[1] if len(judged[0].actions) > 1 else None
        return Advice(
            action=best,
            actions=judged[0].actions,
            straight_to_repair=judged[0].straight,
            minutes_saved=judged[0].saved,
            order=self.order,
            holds=all(_as_good(view.actions, best) for view in judged[1:]),
            close_with=second if second and _close(best, second) else None,
            looks=self._looks,
        )

    def _stop(self, judged: _Judged) -> Advice:
        """Nothing modelled explains the readings: read the most doubtful one again, then refer."""
        reading, _ = self.belief.doubts[0]
        sign = self.belief.model.indications.get(reading.sign) or self.belief.model.checks[reading.sign]
        again = Action("read again", sign.name, f"read again, by another person: {sign.title}", 0.0, 0.0)
        return Advice(again, (again, *judged.actions), judged.straight, judged.saved, self.order, True, None)

    def _judge(self, factors: Sequence[float]) -> list[_Judged]:
        """All actions under each factor on the odds of every fault; one column for each outcome."""
        views = [self.outlook.scaled(factor) for factor in factors]
        blocks = [_columns(view, list(self.belief.open.values()), self._looks) for view in views]
        weights = np.concatenate([block[0] for block in blocks], axis=1)
        rest = np.concatenate([block[1] for block in blocks])
        chance = weights.sum(axis=0) + rest
        safe = np.where(chance > 0, chance, 1.0)
        costs = expected_costs(self.outlook, weights / safe, rest / safe) * chance
        return [
            self._judged(view, part) for view, part in zip(views, np.split(costs, len(views)), strict=True)
        ]

    def _judged(self, view: Outlook, costs: Array) -> _Judged:
        """The first column is the belief as it is; then one column for each outcome of each sign."""
        straight = float(costs[0])
        least = max(LEAST_SAVING, LEAST_SHARE * straight)
        saved: dict[str, float] = {}
        actions = [Action("refer", "refer", "stop and refer", view.refer_minutes, view.refer_minutes)]
        start = 1
        for name, sign in self.belief.open.items():
            after = float(costs[start : start + len(sign.outcomes)].sum())
            start += len(sign.outcomes)
            saved[name] = straight - after - self._minutes(name)
            if straight - after > least:
                actions.append(self._reading(name, after))
        for look in self._looks:
            size = len(look.patterns) + 1
            after = float(costs[start : start + size].sum())
            start += size
            if straight - after > least:
                actions.append(self._change(look, after))
        actions += self._ends(view, straight)
        return _Judged(tuple(sorted(actions, key=lambda a: (a.expected_minutes, a.name))), straight, saved)

    def _reading(self, name: str, after: float) -> Action:
        sign, minutes = self.belief.prospects[name].sign, self._minutes(name)
        kind: Kind = "check" if isinstance(sign, Check) else "look"
        return Action(kind, name, sign.title, minutes, minutes + HANDLING_MINUTES + after)

    def _change(self, look: Look, after: float) -> Action:
        title = f"look at the indications: {self.belief.model.situations[look.situation].title}"
        expected = look.minutes + HANDLING_MINUTES * len(look.indications) + after
        return Action("change of conditions", look.situation, title, look.minutes, expected)

    def _minutes(self, name: str) -> float:
        work = self.belief.prospects[name].effort
        return work.minutes if work else 0.0

    def _ends(self, view: Outlook, straight: float) -> list[Action]:
        found = [
            Action("repair", step.option.repair.name, step.option.repair.title, step.option.minutes, straight)
            for step in self.order[:1]
        ]
        nothing = float(view.probability[view.masks == 0].sum())
        if nothing > ENOUGH_NOTHING:
            title = "no fault found: list the checks, set monitoring"
            found.append(Action("no fault found", "no_fault_found", title, 0.0, (1 - nothing) * straight))
        return found


@dataclass(frozen=True)
class _Judged:
    actions: tuple[Action, ...]
    straight: float
    saved: Mapping[str, float]


def _columns(view: Outlook, signs: Sequence[OpenSign], seen: Sequence[Look]) -> tuple[Array, Array]:
    """P(set, outcome) and what the sets that are not listed leave of P(outcome), side by side.

    The first column: nothing read. Then each outcome of each sign; then each pattern of each look, and last
    all its other patterns together. Shapes (sets, columns) and (columns,).
    """
    places = list(view.places)
    given = [np.ones((len(places), 1)), *(sign.given[places] for sign in signs)]
    of_rest = [np.ones(1), *(sign.spread for sign in signs)]
    for look in seen:
        given.append(look.given(places))
        of_rest.append(look.spread)
    weights = view.probability[:, None] * np.concatenate(given, axis=1)
    return weights, view.rest * np.concatenate(of_rest)


def _as_good(actions: Sequence[Action], best: Action) -> bool:
    """Whether the chosen action is still the best, or close to it, under other rates."""
    same = [action for action in actions if (action.kind, action.name) == (best.kind, best.name)]
    return bool(same) and _close(actions[0], same[0])


def _close(first: Action, second: Action) -> bool:
    gap = second.expected_minutes - first.expected_minutes
    return gap <= max(CLOSE_MINUTES, CLOSE_SHARE * first.expected_minutes)


def _reason(advice: Advice) -> str:
    best = advice.action
    gap = advice.straight_to_repair - best.expected_minutes
    if best.kind == "read again":
        return "nothing modelled explains these readings; if they stand, refer to the approved data"
    if best.kind == "refer":
        return "nothing that could be done here is expected to cost less than referring it"
    if best.kind == "no fault found":
        return "most likely nothing modelled is wrong"
    if best.kind == "repair":
        words = "no check is expected to save as much as it costs"
    else:
        words = (
            f"going straight to the repairs would cost {gap:.0f} min more on average, if the rates are right"
        )
    if not advice.holds:
        words += "; with rates three times higher or lower another action would win"
    if advice.close_with:
        words += f"; close call with {advice.close_with.title}"
    return words
