"""The whole model as an ordinary network says what the reasoner says."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import numpy as np
import pytest

from faultiso.belief.reasoner import Reasoner
from faultiso.language.load import load_text
from faultiso.model.system import Model
from faultiso.network.network import Network
from faultiso.network.whole import whole_network

TUG = """
model: tug
title: towing tug hydraulics
subject: invented
assume: {assume}
misread: 0.01
conditions:
  motor: {{title: motor, values: [stopped, running], start: stopped}}
situations:
  running: {{title: motor running, set: {{motor: running}}}}
components:
  pump: {{title: drive pump, faults: {{worn: {{title: worn, rate: 1e-3, source: invented}}}}}}
  lamp: {{title: lamp, faults: {{dead: {{title: dead, rate: 5e-4, source: invented}}}}}}
quantities:
  pressure:
    title: pump pressure
    levels: [normal, low, none]
    rules:
      - {{when: {{motor: stopped}}, then: none}}
    causes:
      - {{fault: pump.worn, gives: {{low: 0.6, none: 0.3}}}}
    leak: {{low: 0.01}}
indications:
  pressure_light:
    title: low pressure light
    kind: light
    outcomes: [out, lit]
    rules:
      - {{when: {{lamp.dead: present}}, then: out}}
      - {{when: {{motor: stopped}}, then: out}}
      - {{when: {{pressure: [low, none]}}, then: lit}}
      - {{then: out}}
checks:
  gauge: {{title: read the gauge, reads: pressure, minutes: 5, miss: 0.05, false_alarm: 0.02}}
  lamp_test:
    title: press to test
    minutes: 1
    outcomes: [lit, dark]
    rules:
      - {{when: {{lamp.dead: present}}, then: dark}}
      - {{then: lit}}
"""


def tug(assume: str = "independent") -> Model:
    loaded = load_text(TUG.format(assume=assume), lint=False)
    assert loaded.model is not None, loaded.problems
    return loaded.model


def posterior(network: Network, name: str, evidence: Mapping[str, str]) -> float:
    """P(name is in its last state | evidence) by adding up the whole joint distribution."""
    total = wanted = 0.0
    for states in product(*(range(card) for card in network.cards)):
        if any(network.states[network.index[k]][states[network.index[k]]] != o for k, o in evidence.items()):
            continue
        chance = float(
            np.prod(
                [
                    network.tables[v][(*(states[p] for p in network.parents[v]), states[v])]
                    for v in range(len(network.names))
                ]
            )
        )
        total += chance
        wanted += chance * (states[network.index[name]] == network.cards[network.index[name]] - 1)
    return wanted / total


@pytest.mark.parametrize("assume", ["independent", "one fault"])
@pytest.mark.parametrize("motor", ["stopped", "running"])
@pytest.mark.parametrize(
    "evidence",
    [
        {},
        {"pressure_light": "lit"},
        {"pressure_light": "out", "gauge": "none"},
        {"gauge": "normal", "lamp_test": "dark"},
    ],
)
def test_it_believes_what_the_reasoner_believes(assume: str, motor: str, evidence: dict[str, str]) -> None:
    model = tug(assume)
    network = whole_network(model, {"motor": motor})
    belief = Reasoner(model).believe(evidence, {"motor": motor})
    for fault in model.faults:
        assert posterior(network, fault, evidence) == pytest.approx(belief.faults[fault], rel=1e-9)


def test_every_part_is_there_under_its_name_with_its_states() -> None:
    model = tug()
    network = whole_network(model, model.start)
    assert len(set(network.names)) == len(network.names)
    states = {name: network.states[v] for name, v in network.index.items()}
    assert states["pump.worn"] == states["lamp.dead"] == ("absent", "present")
    assert states["pressure"] == ("normal", "low", "none")
    assert states["pressure_light"] == ("out", "lit")
    assert states["gauge"] == ("normal", "low", "none")
    assert states["lamp_test"] == ("lit", "dark")
    for v, table in enumerate(network.tables):
        assert table.shape == (*(network.cards[p] for p in network.parents[v]), network.cards[v])
        assert table.sum(axis=-1) == pytest.approx(1)
        assert all(parent < v for parent in network.parents[v])


def test_what_the_conditions_settle_stands_alone() -> None:
    network = whole_network(tug(), {"motor": "stopped"})
    v = network.index["pressure"]
    assert network.parents[v] == ()
    assert network.tables[v].tolist() == [0.0, 0.0, 1.0]
