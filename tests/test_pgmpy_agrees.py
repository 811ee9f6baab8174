"""The same network in two other libraries: pgmpy and pyAgrum say of the faults what Belief says.

For one set of conditions the network of the faults and of what was read is built as the reasoner builds
it, handed over whole, and asked with the readings.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import pytest

from faultiso.belief.belief import Belief
from faultiso.network.builder import CONSTANT
from faultiso.network.ground import PRESENT
from faultiso.network.network import Network
from faultiso.network.timeline import start

from .models.shipped import NAMES, ground_of, model_of, reasoner_of

CLOSE = 1e-9
Read = Mapping[str, str]


def readings_of(name: str) -> list[tuple[str, str, Read]]:
    """Model, situation, readings: nothing, one loud outcome alone, all quiet, loud and quiet mixed."""
    found = []
    for situation in model_of(name).situations:
        able = outcomes_by_sign(name, situation)
        told: list[Read] = [{}]
        told += [{sign: outcomes[-1]} for sign, outcomes in list(able.items())[:6]]
        told += [{sign: outcomes[0] for sign, outcomes in able.items()}]
        told += [{sign: outcomes[-(k % 2)] for k, (sign, outcomes) in enumerate(list(able.items())[:4])}]
        found += [(name, situation, read) for read in told]
    return found


def outcomes_by_sign(name: str, situation: str) -> dict[str, tuple[str, ...]]:
    """The outcomes that each indication can truly show in the situation, of those that can vary."""
    timeline = start(model_of(name).situations[situation].values)
    found = {}
    for sign in model_of(name).indications.values():
        labels = ground_of(name).true_outcome(sign, timeline, 0).labels
        if len(set(labels)) > 1:
            found[sign.name] = tuple(dict.fromkeys(labels))
    return found


@cache
def handed_over(
    name: str, situation: str, signs: tuple[str, ...]
) -> tuple[Network, dict[str, int], dict[str, Any]]:
    """Faults and signs in one network, a variable added for each sign as it is read; where the faults are."""
    model, ground = model_of(name), ground_of(name)
    timeline = start(model.situations[situation].values)
    shown = {s: ground.true_outcome(model.indications[s], timeline, 0) for s in signs}
    faults = {f: ground.present(f, timeline) for f in model.faults}
    nodes = [node.variable for node in (*shown.values(), *faults.values())]
    network, place = ground.builder.freeze(sorted(set(nodes) - {CONSTANT}))
    names, states = list(network.names), list(network.states)
    parents, tables = list(network.parents), list(network.tables)
    for sign, node in shown.items():
        rows = ground.reading_chances(model.indications[sign])
        names.append(f"read {sign}")
        states.append(tuple(model.indications[sign].outcomes))
        parents.append((place[node.variable],))
        tables.append(np.array([rows[label] for label in node.labels]))
    present = {f: [label == PRESENT for label in node.labels] for f, node in faults.items()}
    where = {f: place[node.variable] for f, node in faults.items()}
    return Network(tuple(names), tuple(states), tuple(parents), tuple(tables)), where, present


def believed(name: str, situation: str, read: Read) -> Belief:
    return reasoner_of(name).believe(read, situation=situation)


def by_pgmpy(name: str, situation: str, read: Read) -> dict[str, float]:
    from pgmpy.inference import VariableElimination

    from faultiso.interchange.pgmpy_door import to_pgmpy

    logging.getLogger("pgmpy").setLevel(logging.ERROR)
    network, where, present = handed_over(name, situation, tuple(sorted(read)))
    inference = VariableElimination(to_pgmpy(network))
    evidence = {f"read {sign}": outcome for sign, outcome in read.items()}
    found = {}
    for fault in watched(name, situation, read):
        variable = network.names[where[fault]]
        spread = inference.query([variable], evidence=evidence, show_progress=False)
        found[fault] = float(spread.values @ np.array(present[fault], dtype=float))
    return found


def by_agrum(name: str, situation: str, read: Read) -> dict[str, float]:
    import pyagrum

    network, where, present = handed_over(name, situation, tuple(sorted(read)))
    bayes = pyagrum.BayesNet()
    ids = [
        bayes.add(pyagrum.LabelizedVariable(f"v{v}", f"v{v}", len(states)))
        for v, states in enumerate(network.states)
    ]
    for v, parents in enumerate(network.parents):
        for parent in parents:
            bayes.addArc(ids[parent], ids[v])
    for v, parents in enumerate(network.parents):
        for states in np.ndindex(*(network.cards[p] for p in parents)):
            at = {f"v{p}": int(state) for p, state in zip(parents, states, strict=True)}
            bayes.cpt(ids[v])[at] = network.tables[v][states].tolist()
    inference = pyagrum.LazyPropagation(bayes)
    for sign, outcome in read.items():
        v = network.index[f"read {sign}"]
        inference.addEvidence(ids[v], network.states[v].index(outcome))
    inference.makeInference()
    return {
        fault: float(np.array(inference.posterior(ids[v]).tolist()) @ np.array(present[fault], dtype=float))
        for fault, v in where.items()
    }


def watched(name: str, situation: str, read: Read) -> list[str]:
    """The leading faults, and those that are least likely: pgmpy takes its time for each."""
    order = list(believed(name, situation, read).faults)
    return [*order[:5], order[len(order) // 2], order[-1]]


EVERY = [case for name in NAMES for case in readings_of(name)]
SOME = [
    ("workshop-power-cart", "in_use", {"display_reading": "low", "gauge_reading": "low"}),
    ("whinchat-dc-power", "rough_climb", {"generator_light_1": "lit", "trip_light_1": "lit"}),
    ("whinchat-dc-power", "at_idle", {"generator_light_2": "out", "loadmeter_2": "zero"}),
    *EVERY[::13],
]
CASES = [*SOME, *(pytest.param(*case, marks=pytest.mark.long) for case in EVERY)]


@pytest.mark.parametrize(("name", "situation", "read"), CASES)
def test_pyagrum_says_the_same_of_every_fault(name: str, situation: str, read: Read) -> None:
    belief = believed(name, situation, read)
    assert by_agrum(name, situation, read) == pytest.approx(belief.faults, abs=CLOSE)


@pytest.mark.parametrize(("name", "situation", "read"), CASES)
def test_pgmpy_says_the_same_of_the_first_and_the_last_faults(name: str, situation: str, read: Read) -> None:
    belief = believed(name, situation, read)
    found = by_pgmpy(name, situation, read)
    assert found == pytest.approx({fault: belief.faults[fault] for fault in found}, abs=CLOSE)
    assert len(found) == 7


def test_every_model_is_asked_something_that_moves_belief() -> None:
    for name in NAMES:
        moved = [
            max(abs(p - belief.prior_of(fault)) for fault, p in belief.faults.items())
            for case in SOME
            if case[0] == name and case[2] and (belief := believed(*case))
        ]
        assert sum(by > 0.05 for by in moved) >= 2
