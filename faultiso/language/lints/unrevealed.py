"""A fault that no indication and no check depends on: nobody could ever find it.

Wrong:

    components: {filter: {faults: {bypassing: {rate: 1e-5}}}}

Right:

    components: {filter: {faults: {bypassing: {rate: 1e-5}}}}
    checks:
      look_at_filter: {reads: filter.bypassing, minutes: 5}
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.language.dependence import ancestors, parents
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Every fault that no sign depends on, not even through a fault that it causes."""
    seen = ancestors((sign.name for sign in model.signs()), parents(model))
    for name, fault in model.faults.items():
        if name not in seen:
            message = (
                f"nothing reveals {name}: no indication and no check depends on it; "
                "add a check that reads what it changes, or take it out"
            )
            yield Problem("unrevealed", fault.where, message)
