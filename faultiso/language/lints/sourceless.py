"""A failure rate without a word on where it comes from.

Wrong:

    components: {filter: {faults: {clogged: {rate: 1e-5}}}}

Right:

    components: {filter: {faults: {clogged: {rate: 1e-5, source: invented}}}}
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Every fault without a ``source``: a warning."""
    for name, fault in model.faults.items():
        if not fault.source:
            message = f"the rate of {name} has no source; expected a reference, or source: invented"
            yield Problem("sourceless", fault.where, message, severity="warning")
