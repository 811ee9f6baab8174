"""What each fault alone would show, against the list of all worlds, on random models."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from faultiso.appraisal.isolation import ANY, isolation
from faultiso.appraisal.signatures import Sign, Signatures, signatures
from faultiso.belief.reasoner import Reasoner
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline, start
from tests.semantics import oracle
from tests.semantics.answers import Table
from tests.semantics.random_models import random_case
from tests.semantics.test_random_beliefs import with_situations

SEEDS = range(40)
CLOSE = 1e-9


@cache
def judged(seed: int) -> tuple[Model, Signatures]:
    model = with_situations(random_case(seed).model)
    return model, signatures(Reasoner(model))


@cache
def worlds(seed: int, timeline: Timeline) -> Table:
    return oracle.table(judged(seed)[0], timeline, 0)


def of_set(seed: int, sign: Sign, faults: frozenset[str]) -> list[float] | None:
    """P(each outcome | exactly these faults), by all worlds; None if they are never there alone."""
    model, _ = judged(seed)
    belief = Reasoner(model).believe(situation=sign.situation)
    table = worlds(seed, belief.prospects[sign.name].timeline)
    rows = (table.faults == [name in faults for name in model.faults]).all(axis=1)
    total = table.probabilities[rows].sum()
    if total <= 0:
        return None
    return [float(table.weigh([], sign.name, outcome)[rows].sum() / total) for outcome in sign.outcomes]


@pytest.mark.parametrize("seed", SEEDS)
def test_each_distribution_is_that_of_all_worlds(seed: int) -> None:
    model, found = judged(seed)
    assert set(found.faults) | set(found.never_alone) == set(model.faults)
    for sign in found.signs:
        expected = of_set(seed, sign, frozenset())
        assert expected is not None and sign.given[0].tolist() == pytest.approx(expected, abs=CLOSE)
        for place, fault in enumerate(found.faults, 1):
            expected = of_set(seed, sign, frozenset((fault,)))
            assert expected is not None and sign.given[place].tolist() == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize("seed", SEEDS)
def test_who_is_never_alone_and_who_is_alike(seed: int) -> None:
    model, found = judged(seed)
    table = worlds(seed, start(model.situations["first"].values))
    alone = {
        next(iter(chosen))
        for chosen, chance in table.set_chances([]).items()
        if len(chosen) == 1 and chance > 0
    }
    assert set(found.faults) == alone
    judgement = isolation(found.apart(found.signs), found.rates, found.units, ANY)
    for i, first in enumerate(found.faults):
        for j, second in enumerate(found.faults):
            if judgement.detected[i] and judgement.detected[j]:
                assert (j in judgement.groups[i]) == alike(seed, {first}, {second})
    for place, fault in enumerate(found.faults):
        assert bool(judgement.detected[place]) != alike(seed, set(), {fault})


def alike(seed: int, one: set[str], other: set[str]) -> bool:
    """Whether every sign shows the same of both sets of faults in every situation, by all worlds."""
    pairs = [
        (of_set(seed, s, frozenset(one)), of_set(seed, s, frozenset(other))) for s in judged(seed)[1].signs
    ]
    return all(np.allclose(first, second, atol=CLOSE) for first, second in pairs)
