"""What to do next: check, repair, refer or stop, by expected minutes to a verified fix, one step ahead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.model.parts import Check
from faultiso.network.network import Array
from faultiso.planning.outlook import Outlook, outlook
from faultiso.planning.repairs import RepairStep, expected_costs, repair_order

ENOUGH_NOTHING = 0.9  # probability of "nothing modelled" at which no fault found is proposed
CLOSE_MINUTES, CLOSE_SHARE = 5.0, 0.1  # within these two actions are equally good
RATE_DOUBT = 3.0  # rates are good to a factor of three at best

Kind = Literal["check", "look", "repair", "refer", "no fault found"]


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
    ``holds`` says whether the choice stays the same with all rates times three and over three.
    """

    action: Action
    actions: tuple[Action, ...]
    straight_to_repair: float
    minutes_saved: Mapping[str, float]
    order: tuple[RepairStep, ...]
    holds: bool
    close_with: Action | None

    @property
    def reason(self) -> str:
        return _reason(self)


class Advisor:
    """Advice for one belief; the parts are computed once, when asked for."""

    def __init__(self, belief: Belief) -> None:
        self.belief = belief

    @cached_property
    def outlook(self) -> Outlook:
        return outlook(self.belief)

    @cached_property
    def order(self) -> tuple[RepairStep, ...]:
        return repair_order(self.outlook)

    def advise(self) -> Advice:
        """The best next action, judged again with the rates three times higher and lower."""
        actions, saved, straight = self._judge(self.outlook)
        best = actions[0]
        others = [self._judge(self.outlook.scaled(f))[0][0] for f in (RATE_DOUBT, 1 / RATE_DOUBT)]
        second = actions[1] if len(actions) > 1 else None
        return Advice(
            action=best,
            actions=tuple(actions),
            straight_to_repair=straight,
            minutes_saved=saved,
            order=self.order,
            holds=all((a.kind, a.name) == (best.kind, best.name) for a in others),
            close_with=second if second and _close(best, second) else None,
        )

    def _judge(self, view: Outlook) -> tuple[list[Action], dict[str, float], float]:
        straight = float(expected_costs(view, view.probability[:, None], np.array([view.rest]))[0])
        after = self._after_checks(view)
        actions = [Action("refer", "refer", "stop and refer", view.refer_minutes, view.refer_minutes)]
        saved = {}
        for name, cost in after.items():
            minutes = self._minutes(name)
            saved[name] = straight - cost - minutes
            if self.belief.values[name].gain_bits[1] > 1e-6:
                sign = self.belief.prospects[name].sign
                kind: Kind = "check" if isinstance(sign, Check) else "look"
                actions.append(Action(kind, name, sign.title, minutes, minutes + cost))
        actions += self._first_repairs(view, straight)
        nothing = float(view.probability[view.masks == 0].sum())
        if nothing > ENOUGH_NOTHING:
            title = "no fault found: list the checks, set monitoring"
            actions.append(Action("no fault found", "no_fault_found", title, 0.0, (1 - nothing) * straight))
        return sorted(actions, key=lambda a: (a.expected_minutes, a.name)), saved, straight

    def _minutes(self, name: str) -> float:
        work = self.belief.prospects[name].effort
        return work.minutes if work else 0.0

    def _first_repairs(self, view: Outlook, straight: float) -> list[Action]:
        steps = self.order[:1]
        return [
            Action("repair", step.option.repair.name, step.option.repair.title, step.option.minutes, straight)
            for step in steps
        ]

    def _after_checks(self, view: Outlook) -> dict[str, float]:
        """Expected minutes of the repair order after each unread sign is read."""
        names, columns, rests, sizes = [], [], [], []
        for name, value in self.belief.values.items():
            joint, rest = self._joint(name, view)
            names.append(name)
            columns.append(joint)
            rests.append(rest)
            sizes.append(len(value.outcomes))
        if not names:
            return {}
        weights, rest = np.concatenate(columns, axis=1), np.concatenate(rests)
        chance = weights.sum(axis=0) + rest
        safe = np.where(chance > 0, chance, 1.0)
        costs = expected_costs(view, weights / safe, rest / safe) * chance
        ends = np.cumsum(sizes)
        return {
            name: float(costs[end - size : end].sum())
            for name, end, size in zip(names, ends, sizes, strict=True)
        }

    def _joint(self, name: str, view: Outlook) -> tuple[Array, Array]:
        """P(set, outcome) and what the sets that are not listed leave of P(outcome)."""
        value = self.belief.values[name]
        given = value.given[list(view.places)]
        joint = view.probability[:, None] * given
        of_rest = np.array(list(value.outcomes.values()))
        return joint, view.rest * of_rest


def _close(first: Action, second: Action) -> bool:
    gap = second.expected_minutes - first.expected_minutes
    return gap <= max(CLOSE_MINUTES, CLOSE_SHARE * first.expected_minutes)


def _reason(advice: Advice) -> str:
    best = advice.action
    gap = advice.straight_to_repair - best.expected_minutes
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
