"""What is in the store: a model in which repairs that a case has no part for cannot be made.

All that plans, plays or judges asks what work takes (``model/effort.py``), so nothing else need know of it.
"""

from __future__ import annotations

from dataclasses import replace

from faultiso.casebook.case import Case
from faultiso.model.parts import Repair
from faultiso.model.system import Model


def as_stocked(model: Model, case: Case) -> Model:
    """The model as it is in the case; itself where nothing is missing."""
    missing = {name: model.repairs[name] for name in case.no_spare if name in model.repairs}
    if not missing:
        return model
    return replace(model, repairs={**model.repairs, **{name: _gone(part) for name, part in missing.items()}})


def _gone(repair: Repair) -> Repair:
    return replace(repair, work=replace(repair.work, in_store=False))


def missing(model: Model) -> tuple[str, ...]:
    """The repairs that cannot be made for want of a part."""
    return tuple(name for name, repair in model.repairs.items() if not repair.work.in_store)
