"""A fault that no repair removes: a warning, since a case with it can only end in a referral.

Wrong:

    components: {filter: {faults: {clogged: {rate: 1e-5}}}}
    checks:
      look_at_filter: {reads: filter.clogged, minutes: 5}

Right:

    components: {filter: {faults: {clogged: {rate: 1e-5}}}}
    checks:
      look_at_filter: {reads: filter.clogged, minutes: 5}
    repairs:
      replace_filter: {clears: filter, minutes: 30}
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Every fault that stands in no repair's ``clears``."""
    cleared = {fault for repair in model.repairs.values() for fault in repair.clears}
    for name, fault in model.faults.items():
        if name not in cleared:
            message = f"no repair clears {name}; a case with it can only be referred"
            yield Problem("unrepaired", fault.where, message, severity="warning")
