"""Reports that nobody can find again: how often a sign is off with nothing wrong, and whether it comes back.

No standard fixes the figures; this is common practice in shops that count reports which cannot be duplicated.
For each indication, in the situation in which it is most often off: the chance that one look finds it off,
the chance that nothing modelled is wrong then (a misreading, or something that the model only has as chance),
and the chance that it is off again when another person looks, at another visit, in the same conditions and
as things stand at the start. An intermittent fault has its share of visits; what is latched or stored stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.appraisal.signatures import Sign, Signatures
from faultiso.belief.evidence import Reading
from faultiso.belief.observed import conditions_of
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.complaint import AT_WORK
from faultiso.model.expected import expected
from faultiso.network.timeline import Timeline, start

NEVER = 1e-12  # chance of a report below which there is none


@dataclass(frozen=True)
class Again:
    """``reported``: chance that a look finds it off; the others are of such a report: that nothing modelled
    is wrong, that it is off again in the same conditions, and as things stand at the start."""

    sign: str
    situation: str
    reported: float
    nothing_wrong: float
    same: float
    at_start: float


@dataclass(frozen=True)
class Reports:
    """All indications together, each weighted by how often it is reported; None if nothing ever is."""

    nothing_wrong: float | None
    not_same: float | None
    not_at_start: float | None


def again(reasoner: Reasoner, signatures: Signatures) -> tuple[Again, ...]:
    """The figures of every indication that can be off, the most often reported first."""
    found = [_judged(reasoner, sign) for sign in _most_often_off(signatures)]
    rows = [row for row in found if row is not None]
    return tuple(sorted(rows, key=lambda row: (-row.reported, row.sign)))


def reports(rows: Sequence[Again]) -> Reports:
    weights = np.array([row.reported for row in rows])
    total = float(weights.sum())
    if total <= 0:
        return Reports(None, None, None)
    nothing, same, there = np.array([(row.nothing_wrong, row.same, row.at_start) for row in rows]).T
    return Reports(*(float(weights @ values) / total for values in (nothing, 1 - same, 1 - there)))


def _most_often_off(signatures: Signatures) -> list[Sign]:
    """Each indication in the situation in which it is most often off, judged by single faults."""
    hours = signatures.model.flight_hours_at_risk
    weights = np.concatenate([[1.0], -np.expm1(-signatures.rates * hours)])
    best: dict[str, tuple[float, Sign]] = {}
    for sign in signatures.indications:
        chance = float(weights @ sign.off)
        if sign.name not in best or chance > best[sign.name][0] + NEVER:
            best[sign.name] = (chance, sign)
    return [sign for chance, sign in best.values() if chance > NEVER]


def _judged(reasoner: Reasoner, sign: Sign) -> Again | None:
    there = start(conditions_of(reasoner.model, {}, sign.situation))
    usual = sign.outcomes[sign.usual]
    reported = _off(reasoner, there, sign.name, usual, ())
    if reported <= NEVER:
        return None
    off = (Reading(sign.name, doubtful=tuple((o, float(o != usual)) for o in sign.outcomes)),)
    same = there.then(there.moments[-1].conditions)
    later = there.then(reasoner.model.start)
    usual_later = expected(reasoner.model, reasoner.model.start)[sign.name]
    return Again(
        sign=sign.name,
        situation=sign.situation,
        reported=reported,
        nothing_wrong=reasoner.belief(there, off).none_modelled,
        same=_off(reasoner, same, sign.name, usual, off),
        at_start=_off(reasoner, later, sign.name, usual_later, off),
    )


def _off(reasoner: Reasoner, timeline: Timeline, name: str, usual: str, seen: tuple[Reading, ...]) -> float:
    """P(the sign is not as usual at the end of the timeline | what was seen); another person looks then."""
    belief = reasoner.belief(timeline, seen, reader=AT_WORK if seen else 0)
    return max(0.0, 1.0 - belief.chances_of((name,))[name][usual])
