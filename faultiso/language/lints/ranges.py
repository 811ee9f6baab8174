"""Ranges of numbers that have no unit (an error), or that overlap (a warning: it may be the truth).

Wrong:

    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    quantities:
      pressure:
        levels: [ok, low]
        unit: psi
        ranges: {ok: [1900, 2100], low: [300, 2000]}
        causes: [{fault: pump.worn, gives: {low: 0.9}}]

Right:

    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    quantities:
      pressure:
        levels: [ok, low]
        unit: psi
        ranges: {ok: [1900, 2100], low: [300, 1850]}
        causes: [{fault: pump.worn, gives: {low: 0.9}}]
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from faultiso.base.problems import Problem
from faultiso.model.parts import Check, Indication, Quantity
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Overlaps and missing units, at the quantity that has the ranges or the sign that has its own."""
    for quantity in model.quantities.values():
        yield from _judge(quantity)
    inherited = [quantity.ranges for quantity in model.quantities.values()]
    for sign in model.signs():
        if sign.ranges not in inherited:
            yield from _judge(sign)
        if sign.tolerance and not sign.unit:
            message = f"{sign.name} has a tolerance but no unit; expected unit: psi, for example"
            yield Problem("ranges", sign.where, message)


def _judge(part: Quantity | Indication | Check) -> Iterable[Problem]:
    if part.ranges and not part.unit:
        message = f"{part.name} has ranges but no unit; expected unit: psi, for example"
        yield Problem("ranges", part.where, message)
    rising = sorted(part.ranges.items(), key=lambda item: item[1])
    for (lower, (_, top)), (upper, (bottom, _)) in pairwise(rising):
        if bottom < top:
            message = (
                f"the ranges of {part.name} overlap: {lower} goes up to {top:g}, {upper} begins at "
                f"{bottom:g}; a number between them speaks for both"
            )
            yield Problem("ranges", part.where, message, severity="warning")
