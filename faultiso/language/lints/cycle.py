"""A thing depends on itself: within one moment there is then no answer to what it is.

Wrong:

    quantities:
      pressure: {levels: [ok, low], rules: [{when: {flow_rate: low}, then: low}]}
      flow_rate: {levels: [ok, low], rules: [{when: {pressure: low}, then: low}]}

Right:

    components: {pump: {faults: {worn: {rate: 1e-5}}}}
    quantities:
      pressure: {levels: [ok, low], causes: [{fault: pump.worn, gives: {low: 0.9}}]}
      flow_rate: {levels: [ok, low], rules: [{when: {pressure: low}, then: low}]}
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from faultiso.base.problems import Problem
from faultiso.language.dependence import loops, parents
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Each knot once, at the first thing of its loop."""
    signs = {sign.name: sign.where for sign in model.signs()}
    faults = {name: fault.where for name, fault in model.faults.items()}
    places = {name: part.where for name, part in model.quantities.items()} | signs | faults
    for loop in loops(parents(model)):
        way = ", ".join(f"{name} on {source}" for name, source in pairwise(loop))
        message = f"{loop[0]} depends on itself: {way}; break the loop at one of them"
        yield Problem("cycle", places[loop[0]], message)
