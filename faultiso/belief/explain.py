"""Reasons: what speaks for and against a fault, what says nothing and why, and what would settle it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.belief.belief import Belief
from faultiso.belief.evidence import Reading
from faultiso.belief.observed import unknown
from faultiso.belief.scene_belief import decibans
from faultiso.belief.value import entropy_bits
from faultiso.model.parts import Indication
from faultiso.model.silence import Silence, silence, silences
from faultiso.model.system import Model
from faultiso.network.network import Array

__all__ = [
    "HalfSplit",
    "Prediction",
    "Reasons",
    "Settling",
    "Silence",
    "Witness",
    "flow_order",
    "half_split",
    "reasons",
    "settles",
    "silence",
    "silences",
    "strength",
]

NEUTRAL = 0.5  # decibans below which a reading says nothing about a fault
STRONG, MODERATE = 10.0, 5.0
SURE = 0.7  # chance of an outcome from which a fault is said to predict it


def strength(weight: float) -> str:
    """Words for a weight of evidence in decibans: ten times the odds is strong, three times moderate."""
    size = abs(weight)
    if size >= STRONG:
        return "strong"
    return "moderate" if size >= MODERATE else "weak" if size >= NEUTRAL else "none"


@dataclass(frozen=True)
class Witness:
    """A reading and its weight of evidence: 10 log10 of the likelihood ratio, all other readings given."""

    reading: Reading
    decibans: float

    @property
    def strength(self) -> str:
        return strength(self.decibans)


@dataclass(frozen=True)
class Prediction:
    """Something unread that the fault alone would show, and the chance of the same without it."""

    name: str
    outcome: str
    chance: float
    chance_otherwise: float


@dataclass(frozen=True)
class Reasons:
    """Why a fault is believed as it is. ``together``: what the readings weigh beyond their single weights."""

    fault: str
    probability: float
    prior: float
    witnesses: tuple[Witness, ...]
    together: float
    silent: tuple[Silence, ...]
    predicts: tuple[Prediction, ...]

    @property
    def supporting(self) -> tuple[Witness, ...]:
        return tuple(w for w in self.witnesses if w.decibans >= NEUTRAL)

    @property
    def opposing(self) -> tuple[Witness, ...]:
        return tuple(w for w in self.witnesses if w.decibans <= -NEUTRAL)


def reasons(belief: Belief, fault: str) -> Reasons:
    """For and against one fault, strongest first. Each reading is left out in turn (Good 1950)."""
    if fault not in belief.model.faults:
        raise unknown("fault", fault, list(belief.model.faults))
    left = belief.left_out
    whole = left.all_readings[fault]
    witnesses = [
        Witness(belief.readings[item.readings[0]], whole - without)
        for item, without in zip(left.folded, left.without[fault], strict=True)
    ]
    prior = belief.prior_of(fault)
    total = whole - float(decibans(np.array(prior)))
    return Reasons(
        fault=fault,
        probability=belief.faults[fault],
        prior=prior,
        witnesses=tuple(sorted(witnesses, key=lambda w: -abs(w.decibans))),
        together=total - sum(w.decibans for w in witnesses),
        silent=silences(belief.model, belief.timeline.moments[-1].conditions),
        predicts=_predictions(belief, fault),
    )


def _predictions(belief: Belief, fault: str) -> tuple[Prediction, ...]:
    """What the fault would show that is not read yet and that is unlikely without it."""
    alone = frozenset((fault,))
    if alone not in belief.leading.sets:
        return ()
    place = belief.leading.sets.index(alone)
    without = np.array([fault not in chosen for chosen in belief.leading.sets])
    weights = belief.leading.posterior * without
    found = []
    for name, value in belief.open.items():
        best = int(value.given[place].argmax())
        chance = float(value.given[place, best])
        otherwise = float(weights @ value.given[:, best] / max(weights.sum(), 1e-300))
        if chance >= SURE and otherwise < 0.5:
            found.append(Prediction(name, value.outcomes[best], chance, otherwise))
    return tuple(sorted(found, key=lambda p: p.chance_otherwise - p.chance))


@dataclass(frozen=True)
class Settling:
    """A check that parts two explanations: bits about which of the two it is, were it one of them."""

    name: str
    minutes: float
    bits: float


def settles(belief: Belief, first: frozenset[str], second: frozenset[str]) -> tuple[Settling, ...]:
    """The unread signs that tell two sets of faults apart, best first."""
    sets = belief.leading.sets
    missing = next((chosen for chosen in (first, second) if chosen not in sets), None)
    if missing is not None:
        raise UsageError(f"{', '.join(sorted(missing)) or 'no fault'} is too unlikely now to be compared")
    places = [sets.index(first), sets.index(second)]
    mass = belief.leading.posterior[places]
    share = mass / mass.sum()
    found = []
    for name, value in belief.open.items():
        given = value.given[places]
        bits = float(entropy_bits(share @ given) - share @ entropy_bits(given))
        work = belief.prospects[name].effort
        if bits > 1e-3:
            found.append(Settling(name, work.minutes if work else 0.0, bits))
    return tuple(sorted(found, key=lambda s: (-round(s.bits, 3), s.minutes, s.name)))


@dataclass(frozen=True)
class HalfSplit:
    """The check that comes nearest to halving the suspicion along the flow.

    ``before`` and ``behind``: components on either side, ``share_before`` their part of the suspicion.
    """

    check: str
    minutes: float
    before: tuple[str, ...]
    behind: tuple[str, ...]
    share_before: float


def half_split(belief: Belief) -> HalfSplit | None:
    """The half-split along the flow, as taught in electronics maintenance training; None if nothing splits.

    A check splits the path where every suspect up to some component would make it abnormal and none behind,
    or the other way round.
    """
    order = flow_order(belief.model)
    suspects = [name for name in order if belief.components.get(name, 0.0) > 0.01]
    if len(suspects) < 2:
        return None
    mass = np.array([belief.components[name] for name in suspects])
    shown = _abnormal_chances(belief, suspects)
    found = []
    for name, chances in shown.items():
        work = belief.prospects[name].effort
        place = _split_place(chances)
        if place and work is not None:
            share = float(mass[:place].sum() / mass.sum())
            split = HalfSplit(name, work.minutes, tuple(suspects[:place]), tuple(suspects[place:]), share)
            found.append((abs(share - 0.5), work.minutes, name, split))
    return min(found)[3] if found else None


def _abnormal_chances(belief: Belief, suspects: list[str]) -> dict[str, Array]:
    """P(not the quiet outcome | one fault of the component alone), for each check, shape (suspects,)."""
    columns: list[list[int]] = []
    for name in suspects:
        own = {fault.name for fault in belief.model.components[name].faults}
        columns.append(
            [i for i, chosen in enumerate(belief.leading.sets) if len(chosen) == 1 and chosen <= own]
        )
    if not all(columns):
        return {}
    posterior = belief.leading.posterior
    found = {}
    for name, value in belief.open.items():
        if isinstance(belief.prospects[name].sign, Indication):
            continue
        rows = [np.average(value.given[c, 0], weights=posterior[c] + 1e-300) for c in columns]
        found[name] = 1.0 - np.array(rows)
    return found


def _split_place(chances: Array) -> int:
    """Where the path is cut: all before alike and all behind the opposite; 0 if the check does not cut it."""
    for place in range(1, len(chances)):
        before, behind = chances[:place], chances[place:]
        if before.min() > 0.6 > 0.4 > behind.max() or behind.min() > 0.6 > 0.4 > before.max():
            return place
    return 0


def flow_order(model: Model) -> tuple[str, ...]:
    """The components along the flow, each after what feeds it; links that close a loop are passed over."""
    feeds: dict[str, list[str]] = {}
    for link in model.flow:
        feeds.setdefault(link.source, []).append(link.target)
        feeds.setdefault(link.target, [])
    done: list[str] = []
    state: dict[str, bool] = {}

    def visit(name: str) -> None:
        if name in state:
            return
        state[name] = False
        for target in reversed(feeds[name]):
            visit(target)
        done.append(name)

    for name in feeds:
        visit(name)
    return tuple(reversed(done))
