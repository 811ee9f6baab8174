"""The order of repairs and its expected cost, against all orders and against worked examples."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from faultiso.model.parts import Repair, Work
from faultiso.planning.outlook import Outlook, RepairOption
from faultiso.planning.repairs import expected_costs, repair_order

RECORDS: dict[str, Any] = yaml.safe_load(
    (Path(__file__).parents[1] / "published" / "repair_order.yaml").read_text("utf-8")
)
NEVER = 1e6  # minutes of a referral that no order would choose


def view(
    sets: Sequence[int],
    probability: Sequence[float],
    minutes: Sequence[float],
    clears: Sequence[int],
    refer: float = NEVER,
    serviceable: float = 0.0,
) -> Outlook:
    """An outlook of sets of faults (as bits) and of repairs."""
    options = tuple(
        RepairOption(Repair(f"repair_{n}", f"repair {n}", (), Work()), m, c)
        for n, (m, c) in enumerate(zip(minutes, clears, strict=True), 1)
    )
    faults = tuple(f"unit.{n}" for n in range(max([*sets, 1]).bit_length()))
    return Outlook(
        faults=faults,
        masks=np.array(sets, dtype=np.uint64),
        probability=np.array(probability, dtype=float),
        places=tuple(range(len(sets))),
        rest=max(0.0, 1 - float(sum(probability))),
        options=options,
        refer_minutes=refer,
        serviceable_minutes=serviceable,
    )


def cost(outlook: Outlook) -> float:
    """The expected cost of the one belief of the outlook."""
    return float(expected_costs(outlook, outlook.probability[:, None], np.array([outlook.rest]))[0])


def cost_of(outlook: Outlook, order: Sequence[int]) -> float:
    """The definition, repair by repair: minutes while something is wrong, a price for good units, then refer."""
    total, cleared = 0.0, 0
    for place in order:
        option = outlook.options[place]
        wrong = sum(p for m, p in sets_of(outlook) if m & ~cleared) + outlook.rest
        good = 1 - sum(p for m, p in sets_of(outlook) if m & option.clears)
        total += option.minutes * wrong + outlook.serviceable_minutes * good
        cleared |= option.clears
    wrong = sum(p for m, p in sets_of(outlook) if m & ~cleared) + outlook.rest
    return total + wrong * outlook.refer_minutes


def sets_of(outlook: Outlook) -> list[tuple[int, float]]:
    return [(int(m), float(p)) for m, p in zip(outlook.masks, outlook.probability, strict=True)]


def places(outlook: Outlook) -> list[int]:
    return [outlook.options.index(step.option) for step in repair_order(outlook)]


def one_for_each(probability: Sequence[float], minutes: Sequence[float], refer: float = NEVER) -> Outlook:
    bits = [1 << n for n in range(len(probability))]
    return view(bits, probability, minutes, bits, refer)


def record(name: str) -> Any:
    return RECORDS[name]


def test_published_one_repair_for_each_fault() -> None:
    known = record("one_repair_for_each_fault")
    outlook = one_for_each(known["probability"], known["cost"])
    assert [place + 1 for place in places(outlook)] == known["best_order"]
    assert cost(outlook) == pytest.approx(11.05, abs=1e-9)
    for item in known["costs_of_orders"]:
        assert cost_of(outlook, [n - 1 for n in item["order"]]) == pytest.approx(item["cost"], abs=1e-9)
    every = sorted(cost_of(outlook, order) for order in permutations(range(5)))
    assert every[0] == pytest.approx(cost(outlook), abs=1e-9)
    assert every[1] == pytest.approx(known["second_best"], abs=1e-9)


@pytest.mark.parametrize("item", record("with_a_call")["calls"], ids=lambda item: f"call {item['call']}")
def test_published_repairs_with_a_call(item: Any) -> None:
    known = record("with_a_call")
    outlook = one_for_each(known["probability"], known["cost"], refer=item["call"])
    assert cost(outlook) == pytest.approx(item["cost"], abs=1e-9)
    assert [place + 1 for place in places(outlook)] == item["repairs"]


def test_published_repairs_that_overlap_by_ratio() -> None:
    known = record("repairs_that_overlap")
    mends = [sum(1 << (n - 1) for n in faults) for faults in known["mends"]]
    outlook = view([1, 2, 4, 8], known["probability"], known["cost"], mends)
    assert outlook.fixes(0) @ outlook.probability == pytest.approx(known["works_first"])
    assert [place + 1 for place in places(outlook)] == known["greedy_order"]
    assert cost(outlook) == pytest.approx(known["greedy_cost"], abs=1e-9)
    best = min(cost_of(outlook, order) for order in permutations(range(3)))
    assert best == pytest.approx(known["best_cost"], abs=1e-9)


MINUTES = st.integers(1, 60)


@given(st.lists(st.tuples(st.floats(0.01, 1), MINUTES), min_size=1, max_size=5), st.floats(0, 1))
def test_for_single_faults_no_order_is_cheaper(repairs: list[tuple[float, int]], none: float) -> None:
    total = sum(p for p, _ in repairs) + none
    probability = [p / total for p, _ in repairs]
    bits = [1 << n for n in range(len(repairs))]
    outlook = view([0, *bits], [1 - sum(probability), *probability], [float(m) for _, m in repairs], bits)
    best = min(cost_of(outlook, order) for order in permutations(range(len(repairs))))
    assert cost(outlook) == pytest.approx(best, rel=1e-9)


@st.composite
def any_outlook(draw: st.DrawFn, serviceable: float = 45.0) -> Outlook:
    """Up to four faults, any sets of them, repairs that clear one or two, perhaps something not listed."""
    faults = draw(st.integers(1, 4))
    masks = draw(st.lists(st.integers(0, 2**faults - 1), min_size=1, max_size=6, unique=True))
    weights = [draw(st.floats(0.01, 1)) for _ in masks]
    rest = draw(st.sampled_from([0.0, 0.02]))
    count = draw(st.integers(0, 4))
    clears = [
        1 << draw(st.integers(0, faults - 1)) | 1 << draw(st.integers(0, faults - 1)) for _ in range(count)
    ]
    probability = [w / sum(weights) * (1 - rest) for w in weights]
    minutes = [float(draw(MINUTES)) for _ in range(count)]
    return view(masks, probability, minutes, clears, draw(st.sampled_from([60.0, 400.0, NEVER])), serviceable)


@given(any_outlook())
def test_the_cost_is_that_of_its_own_order(outlook: Outlook) -> None:
    order = places(outlook)
    assert cost(outlook) == pytest.approx(cost_of(outlook, order), rel=1e-9, abs=1e-6)
    steps = repair_order(outlook)
    spent = [step.expected_minutes for step in steps]
    assert spent == sorted(spent)
    if steps:
        left = 1 - steps[-1].fixed_after
        assert spent[-1] + left * outlook.refer_minutes == pytest.approx(cost(outlook), rel=1e-6, abs=1e-6)
    fixed = [step.fixed_after for step in steps]
    assert fixed == sorted(fixed)
    assert len(set(order)) == len(order)


@given(any_outlook())
def test_it_is_never_worse_than_referring_at_once(outlook: Outlook) -> None:
    wrong = sum(p for m, p in sets_of(outlook) if m) + outlook.rest
    assert cost(outlook) <= wrong * outlook.refer_minutes + 1e-6


@given(any_outlook(serviceable=0.0))
def test_every_order_is_an_upper_bound_of_the_best(outlook: Outlook) -> None:
    best = min(
        cost_of(outlook, order)
        for count in range(len(outlook.options) + 1)
        for order in permutations(range(len(outlook.options)), count)
    )
    assert cost(outlook) >= best - 1e-6


@given(any_outlook(), st.integers(0, 1000))
def test_columns_side_by_side_are_judged_each_on_its_own(outlook: Outlook, seed: int) -> None:
    random = np.random.default_rng(seed)
    weights = random.dirichlet(np.ones(len(outlook.masks) + 1), size=4).T
    together = expected_costs(outlook, weights[:-1], weights[-1])
    for column in range(4):
        alone = expected_costs(outlook, weights[:-1, [column]], weights[-1, [column]])
        assert together[column] == pytest.approx(alone[0], rel=1e-12)


def test_a_good_unit_taken_off_has_its_price() -> None:
    sets, probability, bits = [1, 2], [0.6, 0.4], [1, 2]
    free = view(sets, probability, [10.0, 10.0], bits)
    priced = view(sets, probability, [10.0, 10.0], bits, serviceable=45.0)
    assert cost(free) == pytest.approx(10 + 0.4 * 10)
    assert cost(priced) == pytest.approx(10 + 45 * 0.4 + 0.4 * 10 + 45 * 0.6)


def test_two_faults_at_once_need_both_repairs() -> None:
    outlook = view([3], [1.0], [10.0, 20.0], [1, 2])
    assert len(repair_order(outlook)) == 2
    assert cost(outlook) == pytest.approx(30.0)
