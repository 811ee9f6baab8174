"""The shipped models for tests: loaded once, and what a sign shows there with given faults."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from faultiso.belief.reasoner import Reasoner
from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import propagate
from faultiso.language.load import load
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.network.ground import PRESENT, Grounding
from faultiso.network.timeline import Timeline

MODELS = Path(__file__).parents[2] / "models"
NAMES = ("workshop-power-cart", "whinchat-hydraulics", "whinchat-dc-power")


@cache
def model_of(name: str) -> Model:
    loaded = load(MODELS / f"{name}.yaml")
    assert loaded.model is not None, "\n".join(map(str, loaded.problems))
    return loaded.model


@cache
def reasoner_of(name: str) -> Reasoner:
    return Reasoner(model_of(name))


@cache
def ground_of(name: str) -> Grounding:
    return Grounding(model_of(name))


def shows(
    ground: Grounding, sign: Indication | Check, timeline: Timeline, moment: int, faults: frozenset[str]
) -> dict[str, float]:
    """P(outcome | exactly these faults present at the start), by clamping every fault of the network."""
    node = ground.true_outcome(sign, timeline, moment)
    rows = ground.reading_chances(sign)
    chances = np.array([rows[label] for label in node.labels])
    if node.constant:
        return dict(zip(sign.outcomes, chances[0].tolist(), strict=True))
    network, new = ground.builder.freeze([node.variable])
    clamped: dict[int, Any] = {}
    for fault in ground.model.faults:
        at = ground.present(fault, timeline, 0)
        if at.variable in new:
            there = np.array([float((label == PRESENT) == (fault in faults)) for label in at.labels])
            clamped[new[at.variable]] = there * clamped.get(new[at.variable], 1.0)
    variable = new[node.variable]
    spread = propagate(compile_plan(network), clamped, wanted=[variable]).marginal(variable)[:, 0]
    return dict(zip(sign.outcomes, (spread @ chances).tolist(), strict=True))
