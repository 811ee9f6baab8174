"""What to do next: check, repair, refer or stop, by expected minutes to a verified fix, one step ahead."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
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
from faultiso.planning.sequencing.problem import Costs

ENOUGH_NOTHING = 0.8  # probability of "nothing modelled" at which no fault found is proposed
CLOSE_MINUTES, CLOSE_SHARE = 5.0, 0.1  # within these two actions are equally good
LAST_DIGIT = 6  # decimals of minutes below which a difference is none
UNEXPLAINED = 0.5  # P(a leak or a wrong reading | readings) from which isolation stops
LEAST_SAVING, LEAST_SHARE = 2.0, 0.01  # minutes, and share of what is ahead, that a reading must save
HANDLING_MINUTES = 0.5  # what any look or check costs beside its minutes: asking, walking, writing down
LEADING = 6  # actions that are judged again with other rates
RATE_DOUBT = 3.0  # rates are good to a factor of three at best

LIKELY = 0.02  # share of the leading sets from which a set is a candidate to be told from others
MOST_CANDIDATES = 9
DEFER_MINUTES = 15.0  # placard and record of a deferral; invented
ENOUGH_DEFERRED = 0.8  # probability that a line of the deferral sheet covers all that is wrong

Kind = Literal[
    "check", "look", "change of conditions", "repair", "refer", "defer", "no fault found", "read again"
]


@dataclass(frozen=True)
class Action:
    """Something that could be done next. ``expected_minutes``: to a verified fix, the action included."""

    kind: Kind
    name: str
    title: str
    minutes: float
    expected_minutes: float


@dataclass(frozen=True)
class Deeper:
    """What a search further ahead found: ``saved`` minutes at least against what one step of looking ahead
    would have taken, 0 where that stays the best."""

    one_step: str
    saved: float


@dataclass(frozen=True)
class Advice:
    """The next action and what stands behind it.

    ``actions`` best first; ``minutes_saved`` of each check against going straight to the repair order;
    ``looks``: other situations that were judged by what everything would show there. ``holds`` says whether
    the choice stays as good with all rates times three and over three. ``parted``: how many of the leading
    candidates each outcome of the action keeps together, the largest first; ``deeper``: set after a search.
    """

    action: Action
    actions: tuple[Action, ...]
    straight_to_repair: float
    minutes_saved: Mapping[str, float]
    order: tuple[RepairStep, ...]
    holds: bool
    close_with: Action | None
    looks: tuple[Look, ...] = ()
    nothing_read: bool = False
    parted: tuple[int, ...] = ()
    deeper: Deeper | None = None

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
        judged = self._judge(self.outlook, self.belief.open, self._looks)
        if self.belief.unexplained > UNEXPLAINED:
            return self._stop(judged)
        best = judged.actions[0]
        if best.kind in ("no fault found", "refer") and not self.belief.readings and self.belief.open:
            return self._begin(judged)
        second = judged.actions[1] if len(judged.actions) > 1 else None
        return Advice(
            action=best,
            actions=judged.actions,
            straight_to_repair=judged.straight,
            minutes_saved=judged.saved,
            order=self.order,
            holds=all(_as_good(actions, best) for actions in self._with_other_rates(judged.actions)),
            close_with=second if second and _close(best, second) else None,
            looks=self._looks,
            parted=self._parted(best),
        )

    def _parted(self, action: Action) -> tuple[int, ...]:
        """The likeliest candidates by what each of them would most likely show."""
        share = self.belief.leading.posterior / self.belief.leading.posterior.sum()
        likely = np.flatnonzero(share >= LIKELY)[:MOST_CANDIDATES]
        sign = self.belief.open.get(action.name)
        look = next((look for look in self._looks if look.situation == action.name), None)
        if len(likely) < 2 or (sign is None and look is None):
            return ()
        given = sign.given[likely] if sign else look.given(likely.tolist()) if look else np.zeros((0, 0))
        return tuple(sorted(Counter(given.argmax(axis=1).tolist()).values(), reverse=True))

    def _begin(self, judged: _Judged) -> Advice:
        """Nothing was read: neither a fault nor its absence is concluded from rates alone."""
        signs = self.belief.open.values()
        first = max(signs, key=lambda sign: sign.bits / (self._minutes(sign.name) + HANDLING_MINUTES))
        after = judged.straight - judged.saved[first.name] - self._minutes(first.name)
        action = self._reading(first.name, after)
        actions = (action, *(other for other in judged.actions if other.name != first.name))
        return Advice(
            action, actions, judged.straight, judged.saved, self.order, True, None, self._looks, True
        )

    def _with_other_rates(self, actions: Sequence[Action]) -> list[tuple[Action, ...]]:
        """The leading actions, judged again with all rates three times higher and lower."""
        names = {action.name for action in actions[:LEADING]}
        signs = {name: sign for name, sign in self.belief.open.items() if name in names}
        seen = tuple(look for look in self._looks if look.situation in names)
        views = [self.outlook.scaled(factor) for factor in (RATE_DOUBT, 1.0 / RATE_DOUBT)]
        return [self._judge(view, signs, seen).actions for view in views]

    def _stop(self, judged: _Judged) -> Advice:
        """Nothing modelled explains the readings: read the most doubtful one again, then refer."""
        reading, _ = self.belief.doubts[0]
        sign = self.belief.model.indications.get(reading.sign) or self.belief.model.checks[reading.sign]
        again = Action("read again", sign.name, f"read again, by another person: {sign.title}", 0.0, 0.0)
        return Advice(again, (again, *judged.actions), judged.straight, judged.saved, self.order, True, None)

    def _judge(self, view: Outlook, signs: Mapping[str, OpenSign], seen: Sequence[Look]) -> _Judged:
        """All actions by expected minutes.

        One column for the belief as it is, then one for each outcome of each sign and each pattern.
        """
        weights, rest = _columns(view, list(signs.values()), seen)
        chance = weights.sum(axis=0) + rest
        safe = np.where(chance > 0, chance, 1.0)
        costs = expected_costs(view, weights / safe, rest / safe) * chance
        straight = float(costs[0])
        least = max(LEAST_SAVING, LEAST_SHARE * straight)
        sizes = [*(len(sign.outcomes) for sign in signs.values()), *(len(look.spread) for look in seen)]
        starts = np.cumsum([1, *sizes])[:-1]
        after = np.add.reduceat(costs, starts).tolist() if sizes else []
        saved = {
            name: straight - cost - self._minutes(name) for name, cost in zip(signs, after, strict=False)
        }
        wrong = 1.0 - float(view.probability[view.masks == 0].sum())
        refer = Action("refer", "refer", "stop and refer", view.refer_minutes, wrong * view.refer_minutes)
        actions = [refer]
        read: list[str | Look] = [*signs, *seen]
        pairs = zip(read, after, strict=True)
        actions += [self._action(what, cost) for what, cost in pairs if straight - cost > least]
        actions += self._ends(view, straight)
        return _Judged(tuple(sorted(actions, key=lambda a: (a.expected_minutes, a.name))), straight, saved)

    def _action(self, what: str | Look, after: float) -> Action:
        return self._change(what, after) if isinstance(what, Look) else self._reading(what, after)

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
        return [*found, *self._deferrals(view)]

    def _deferrals(self, view: Outlook) -> Iterator[Action]:
        """Lines of the deferral sheet that cover what is wrong, as far as is known."""
        for line in self.belief.model.deferrals.values():
            covered = sum(1 << bit for bit, name in enumerate(view.faults) if name in line.covers)
            inside = (view.masks != 0) & ((view.masks & ~np.uint64(covered)) == 0)
            chance = float(view.probability[inside].sum())
            if line.allowed and chance >= ENOUGH_DEFERRED:
                price = chance * Costs().deferred + (1 - chance) * 2 * view.refer_minutes
                yield Action("defer", line.name, f"defer: {line.title}", DEFER_MINUTES, DEFER_MINUTES + price)


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
    return is_close(first.expected_minutes, second.expected_minutes)


def is_close(best: float, other: float) -> bool:
    """Whether two expected costs in minutes are so near that the actions are equally good."""
    return round(other - best, LAST_DIGIT) <= max(CLOSE_MINUTES, CLOSE_SHARE * best)


def _parting(advice: Advice) -> str:
    """How the action parts the leading candidates: "it parts 7 candidates 4 to 3; "."""
    parted = advice.parted
    if len(parted) < 2:
        return ""
    if sum(parted) == 2:
        return "it parts the two leading candidates; "
    how = f"{parted[0]} to {parted[1]}" if len(parted) == 2 else f"into {len(parted)} groups"
    return f"it parts {sum(parted)} candidates {how}; "


def _further(advice: Advice) -> str:
    if advice.deeper is None or advice.deeper.saved <= 0:
        return ""
    return (
        f"; looked at further ahead it saves {advice.deeper.saved:.0f} min against {advice.deeper.one_step}"
    )


def _reason(advice: Advice) -> str:
    best = advice.action
    gap = advice.straight_to_repair - best.expected_minutes
    if advice.nothing_read:
        return "nothing was read yet, and rates alone are no evidence; this tells most for its minutes"
    match best.kind:
        case "read again":
            return "nothing modelled explains these readings; if they stand, refer to the approved data"
        case "refer":
            words = "nothing that could be done here is expected to cost less than referring it"
        case "no fault found":
            words = "most likely nothing modelled is wrong"
        case "defer":
            words = (
                "it may be put off under the deferral sheet, and mending it now is expected to take longer"
            )
        case "repair":
            words = "no check is expected to save as much as it costs"
        case _ if round(gap) <= 0:
            words = "it costs no more than going straight to the repairs, and leaves less to doubt"
        case _:
            words = (
                f"going straight to the repairs would cost {gap:.0f} min more on average, "
                "if the rates are right"
            )
    words = _parting(advice) + words + _further(advice)
    if not advice.holds:
        words += "; with rates three times higher or lower another action would win"
    if advice.close_with:
        words += f"; close call with {advice.close_with.title}"
    return words
