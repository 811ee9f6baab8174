"""Short ways to say small models, histories and readings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from textwrap import dedent

import pytest

from faultiso.belief.belief import Belief
from faultiso.belief.evidence import Reading
from faultiso.belief.reasoner import Reasoner
from faultiso.language.load import load_text
from faultiso.model.system import Model
from faultiso.network.timeline import Intervention, Timeline, done, start

from . import oracle
from .answers import Seen

HEAD = "model: small\ntitle: a small model\nsubject: generic\nflight_hours_at_risk: 1\nmisread: 0\n"


def model(text: str) -> Model:
    """The model in a text without its first lines; one hour at risk, nothing misread."""
    loaded = load_text(HEAD + dedent(text), lint=False)
    assert loaded.model is not None, "\n".join(str(problem) for problem in loaded.errors)
    return loaded.model


def prior(rate: float) -> float:
    """Chance of a fault with this rate after one hour."""
    return 1 - math.exp(-rate)


def at(model: Model, **settings: str) -> dict[str, str]:
    """All conditions: as at the start but for the given ones."""
    return {**model.start, **settings}


def begin(model: Model, **settings: str) -> Timeline:
    return start(at(model, **settings))


def repaired(model: Model, name: str, key: str = "") -> Intervention:
    return done(key or name, model.repairs[name].work, model.repairs[name])


def seen(sign: str, outcome: str, moment: int = 0, draw: int = 0) -> Reading:
    return Reading(sign, outcome=outcome, moment=moment, draw=draw)


def doubtful(sign: str, moment: int = 0, **weights: float) -> Reading:
    return Reading(sign, doubtful=tuple(weights.items()), moment=moment)


def believe(model: Model, timeline: Timeline, *readings: Reading) -> Belief:
    """The belief, once the list of all worlds has agreed with it about the faults."""
    belief = Reasoner(model).belief(timeline, readings)
    if belief.possible and all(reading.number is None for reading in readings):
        expected = oracle.table(model, timeline).fault_chances(as_seen(readings))
        assert belief.faults == pytest.approx(expected, abs=1e-9)
    return belief


def outcomes(model: Model, timeline: Timeline, sign: str, *readings: Reading) -> dict[str, float]:
    """P(the sign shows each outcome now | readings), of those that are possible; all worlds agree."""
    found = believe(model, timeline, *readings).values[sign].outcomes
    expected = oracle.table(model, timeline).outcome_chances(sign, as_seen(readings))
    assert dict(found) == pytest.approx(expected, abs=1e-9)
    return {outcome: chance for outcome, chance in found.items() if chance > 1e-12}


def as_seen(readings: Sequence[Reading]) -> list[Seen]:
    weights = [{r.outcome: 1.0} if r.outcome else dict(r.doubtful) for r in readings]
    return [Seen(r.sign, r.moment, w, r.draw) for r, w in zip(readings, weights, strict=True)]
