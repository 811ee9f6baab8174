"""Names of variables: the same whatever was built before, and different for what is different."""

from __future__ import annotations

from random import Random

import pytest

from faultiso.network import ground
from faultiso.network.builder import Node
from faultiso.network.ground import Grounding
from faultiso.world.names import Names

from ..semantics.random_models import Case, random_case

SEEDS = [*range(40), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(40, 240))]

Where = tuple[str, int]


def nodes(case: Case, shuffle: int) -> tuple[Names, dict[Where, Node]]:
    """The node of every sign at every moment, built in an order of its own."""
    grounding = Grounding(case.model)
    looks = [(sign, m) for sign in case.model.signs() for m in range(case.timeline.now + 1)]
    Random(shuffle).shuffle(looks)
    found = {(sign.name, m): grounding.true_outcome(sign, case.timeline, m) for sign, m in looks}
    return Names(grounding.builder), found


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("folded", [False, True])
def test_names_do_not_hang_on_the_order_of_building(
    seed: int, folded: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if folded:
        monkeypatch.setattr(ground, "FOLD_ABOVE", 3)
    case = random_case(seed)
    named = []
    for shuffle in range(4):
        names, found = nodes(case, shuffle)
        named.append({where: names.view(node) for where, node in found.items()})
    assert named[0] == named[1] == named[2] == named[3]


@pytest.mark.parametrize("seed", SEEDS)
def test_two_nodes_have_one_name_only_if_they_are_one(seed: int) -> None:
    names, found = nodes(random_case(seed), 0)
    assert len({names.view(node) for node in found.values()}) == len(set(found.values()))
