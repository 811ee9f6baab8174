"""Answers over many seeds against the list of all worlds, on random models with work, latches and visits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from random import Random

import numpy as np
import pytest

from faultiso.world.world import Known, Worlds

from ..semantics import frozen, oracle
from ..semantics.answers import Seen, Table, hard
from ..semantics.random_models import Case, random_case
from .statistics import counted, p_value, refused

FEW = range(40)
MANY = range(40, 240)
PAIRS = 8
WORLDS = 3000


@dataclass(frozen=True)
class Setup:
    """A random case, faults that it may hide, and the list of all worlds in which these are hidden."""

    case: Case
    hidden: frozenset[str]
    table: Table
    random: Random

    def chance(self, readings: Sequence[Seen]) -> float:
        """P(readings | the hidden faults)."""
        return self.table.evidence(readings)

    def some_look(self) -> tuple[str, int, int]:
        sign = self.random.choice(list(self.case.model.signs()))
        return sign.name, self.random.randint(0, self.case.timeline.now), self.random.choice([0, 0, 1])

    def known(self, seen: Seen) -> Known:
        (outcome,) = seen.weights
        return Known(seen.sign, outcome, self.case.timeline, seen.moment, seen.draw)


@cache
def setup(seed: int) -> Setup:
    case, random = random_case(seed), Random(seed)
    whole = oracle.table(case.model, case.timeline, believed_at=0)
    names = np.array(list(case.model.faults))
    hidden = random.choice(np.unique(whole.faults[whole.probabilities > 0], axis=0))  # rare sets as well
    same = (whole.faults == hidden).all(axis=1)
    table = Table(
        model=case.model,
        now=case.timeline.now,
        probabilities=whole.probabilities[same] / whole.probabilities[same].sum(),
        faults=whole.faults[same],
        truths={key: truth[same] for key, truth in whole.truths.items()},
        draws=frozen.table(case.model, case.timeline).draws,
        errors=whole.errors,
    )
    return Setup(case, frozenset(names[hidden].tolist()), table, random)


def exact(here: Setup, looks: Sequence[tuple[str, int, int]], known: Sequence[Seen]) -> np.ndarray:
    """P(outcomes of two looks | hidden faults, known readings), from the list of all worlds."""
    outcomes = [here.table._sign(sign).outcomes for sign, _, _ in looks]
    joint = np.zeros([len(names) for names in outcomes])
    for place in np.ndindex(joint.shape):
        seen = [hard(s, outcomes[i][place[i]], m, d) for i, (s, m, d) in enumerate(looks)]
        joint[place] = here.chance([*known, *seen])
    return joint / here.chance(known)


def some_known(here: Setup, most: int) -> list[Seen]:
    """Readings that are not too rare together."""
    known: list[Seen] = []
    for _ in range(most):
        sign, moment, draw = here.some_look()
        seen = hard(sign, here.random.choice(here.table._sign(sign).outcomes), moment, draw)
        if here.chance([*known, seen]) > 0.02:
            known.append(seen)
    return known


def pairs_of(here: Setup, known: list[Seen], worlds: Worlds) -> dict[object, float]:
    """The p-value of several pairs of answers."""
    found: dict[object, float] = {}
    for _ in range(PAIRS):
        looks = here.some_look(), here.some_look()
        joint = exact(here, looks, known)
        columns = [worlds.outcomes(s, here.case.timeline, m, d) for s, m, d in looks]
        found[here.case.model.name, looks] = p_value(counted(joint.shape, *columns), joint)
    return found


def all_pairs(seeds: range, known: int = 0) -> dict[object, float]:
    found: dict[object, float] = {}
    for seed in seeds:
        here = setup(seed)
        seen = some_known(here, known)
        worlds = Worlds(
            here.case.model, here.hidden, range(WORLDS), [here.known(reading) for reading in seen]
        )
        found |= pairs_of(here, seen, worlds)
    return found


@pytest.mark.parametrize("seeds", [FEW, pytest.param(MANY, marks=pytest.mark.long)])
@pytest.mark.parametrize("known", [0, 3])
def test_pairs_of_answers_have_the_models_joint_distribution(seeds: range, known: int) -> None:
    assert refused(all_pairs(seeds, known)) == {}
