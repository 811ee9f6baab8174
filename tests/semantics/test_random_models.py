"""Grounded networks against the list of all worlds, on random models."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from faultiso.model.system import Model
from faultiso.network import ground
from faultiso.network.timeline import Intervention, Timeline

from . import frozen, oracle
from .answers import Key, Table
from .random_models import Case, random_case

FEW = range(40)
MANY = range(40, 240)
SEEDS = [*FEW, *(pytest.param(seed, marks=pytest.mark.long) for seed in MANY)]
CLOSE = 1e-12


@cache
def case(seed: int) -> Case:
    return random_case(seed)


@cache
def worlds(seed: int) -> Table:
    return oracle.table(case(seed).model, case(seed).timeline)


def rows(table: Table) -> dict[tuple[int, ...], float]:
    """P(faults now, true outcome of every sign at every moment), of what is possible."""
    columns = np.column_stack([table.faults, *(table.truths[key] for key in sorted(table.truths))])
    unique, row_of = np.unique(columns.astype(int), axis=0, return_inverse=True)
    sums = np.bincount(row_of.ravel(), table.probabilities)
    return {tuple(row): float(p) for row, p in zip(unique.tolist(), sums, strict=True) if p > 0}


def assert_same_answers(seed: int, other: Table) -> None:
    """The joint distribution and every answer of the two tables. What counts as one reading is looked at apart, so it is taken over."""
    readings = case(seed).readings
    ours = replace(worlds(seed), draws=other.draws)
    assert rows(other) == pytest.approx(rows(ours), abs=CLOSE)
    assert other.evidence(readings) == pytest.approx(ours.evidence(readings), rel=CLOSE, abs=0)
    if not ours.evidence(readings):
        readings = ()  # the readings contradict: both say so; ask without them
    assert other.fault_chances(readings) == pytest.approx(ours.fault_chances(readings), abs=CLOSE)
    assert other.set_chances(readings) == pytest.approx(ours.set_chances(readings), abs=CLOSE)
    for sign in case(seed).model.signs():
        expected = ours.outcome_chances(sign.name, readings)
        assert other.outcome_chances(sign.name, readings) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize("seed", SEEDS)
def test_grounded_network_equals_all_worlds(seed: int) -> None:
    assert_same_answers(seed, frozen.table(case(seed).model, case(seed).timeline))


@pytest.mark.parametrize("seed", SEEDS)
def test_absorbing_changes_no_answer(seed: int) -> None:
    assert_same_answers(seed, frozen.table(case(seed).model, case(seed).timeline, absorbed=True))


@pytest.mark.parametrize("seed", SEEDS)
def test_tables_folded_row_by_row_change_no_answer(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ground, "FOLD_ABOVE", 3)
    assert_same_answers(seed, frozen.table(case(seed).model, case(seed).timeline))


@pytest.mark.parametrize("seed", SEEDS)
def test_one_reading_only_where_the_truth_is_the_same_in_every_world(seed: int) -> None:
    ours, other = worlds(seed), frozen.table(case(seed).model, case(seed).timeline)
    for one, two in pairs(ours):
        if other.draws[one] == other.draws[two]:
            assert ours.draws[one] == ours.draws[two]


@pytest.mark.parametrize("seed", SEEDS)
def test_no_new_reading_from_what_does_not_matter(seed: int) -> None:
    """Conditions that nothing mentions upstream of a sign, and work on other things, give no new draw."""
    model, timeline = case(seed).model, case(seed).timeline
    other = frozen.table(model, timeline)
    for one, two in pairs(other):
        if untouched(model, timeline, one[0], one[1], two[1]):
            assert other.draws[one] == other.draws[two]


def pairs(table: Table) -> Iterator[tuple[Key, Key]]:
    for name, later in table.truths:
        yield from (((name, earlier), (name, later)) for earlier in range(later))


def untouched(model: Model, timeline: Timeline, sign: str, earlier: int, later: int) -> bool:
    """Whether, going by the words of the model alone, nothing that could matter to the sign has changed."""
    names = upstream(model, sign)
    if any(name in model.faults and model.faults[name].intermittent for name in names):
        return False
    keeps = any(remembers(model, name) for name in names)
    first = 0 if keeps else earlier
    moments = timeline.moments[first : later + 1]
    mentioned = names & set(model.conditions)
    if any({m.conditions[name] for m in moments} != {moments[0].conditions[name]} for name in mentioned):
        return False
    return not any(names & touched(model, work) for m in moments[1:] for work in m.before)


def upstream(model: Model, name: str, found: frozenset[str] = frozenset()) -> frozenset[str]:
    """The names of everything that the description of ``name`` mentions, directly or not."""
    if name in found:
        return found
    found = found | {name}
    for mentioned in mentions(model, name):
        found = upstream(model, mentioned, found)
    return found


def mentions(model: Model, name: str) -> set[str]:
    if name in model.faults:
        intermittent = model.faults[name].intermittent
        return {c for match in intermittent.brought_out_by for c in match} if intermittent else set()
    if name in model.conditions:
        return set()
    quantity = model.quantities.get(name)
    part = quantity or model.indications.get(name) or model.checks[name]
    names = {n for rule in part.rules for n in (*rule.when, rule.like) if n}
    for cause in quantity.causes if quantity else ():
        names |= {cause.source, *(c for response in cause.responses for c in response.when)}
    return names


def remembers(model: Model, name: str) -> bool:
    quantity, indication = model.quantities.get(name), model.indications.get(name)
    return bool((quantity and quantity.remember) or (indication and indication.memory))


def touched(model: Model, work: Intervention) -> set[str]:
    units = {unit for pair in work.swaps for unit in pair}
    names = {name for name, fault in model.faults.items() if fault.component in units}
    return names | {*work.cleared, *work.resets, *dict(work.disturbs), *dict(work.may_leave)}


def test_random_models_use_the_whole_language() -> None:
    """A comparison on models that never latch, swap or disturb would show nothing about these."""
    seen = Counter(feature for seed in FEW for feature in features(case(seed)))
    assert {name: seen[name] for name in ALL_FEATURES if seen[name] < 2} == {}


ALL_FEATURES = (
    "one fault", "caused by", "intermittent", "leak", "remember", "latched", "stored", "like", "several responses",
    "quantity as a cause", "re-read", "doubtful", "several moments", "repair", "fails", "swap", "disturb", "left",
    "reset", "readings before work",
)  # fmt: skip


def features(case: Case) -> Iterator[str]:
    model, work = case.model, [work for m in case.timeline.moments for work in m.before]
    causes = [cause for q in model.quantities.values() for cause in q.causes]
    present = {
        "one fault": model.one_fault,
        "caused by": any(f.caused_by for f in model.faults.values()),
        "intermittent": any(f.intermittent for f in model.faults.values()),
        "leak": any(q.leak for q in model.quantities.values()),
        "remember": any(q.remember for q in model.quantities.values()),
        "latched": any(i.memory == "latched" for i in model.indications.values()),
        "stored": any(i.memory == "stored" for i in model.indications.values()),
        "like": any(r.like for q in model.quantities.values() for r in q.rules),
        "several responses": any(len(cause.responses) > 1 for cause in causes),
        "quantity as a cause": any(cause.source in model.quantities for cause in causes),
        "re-read": any(reading.draw for reading in case.readings),
        "doubtful": any(len(reading.weights) > 1 for reading in case.readings),
        "several moments": case.timeline.now > 0,
        "repair": any(w.cleared for w in work),
        "fails": any(w.fails for w in work),
        "swap": any(w.swaps for w in work),
        "disturb": any(w.disturbs for w in work),
        "left": any(w.may_leave for w in work),
        "reset": any(w.resets for w in work),
        "readings before work": bool(work) and any(r.moment < case.timeline.now for r in case.readings),
    }
    yield from (name for name, there in present.items() if there)
