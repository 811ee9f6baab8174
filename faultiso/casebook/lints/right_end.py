"""A right end that the truth speaks against."""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.nearest import listed
from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.casebook.repairing import sheet_for, unrepairable
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """Beyond the model: refer. Nothing wrong: no fault found. Else rectified or, where allowed, deferred."""
    message = _against(case, model)
    if message:
        yield Problem("right_end", case.place("right_end"), message)


def _against(case: Case, model: Model) -> str:
    end, left = case.right_end, unrepairable(model, case.truth)
    if case.beyond_model:
        return "" if end == "refer" else f"what lies beyond the model ends with refer; found {end}"
    if not case.truth:
        return "" if end == "no fault found" else f"with nothing wrong the end is no fault found; found {end}"
    if end == "no fault found":
        return f"something is wrong ({listed(case.truth, 'and')}); the end cannot be no fault found"
    if end == "refer":
        return "" if left else "the model can repair all that is wrong; refer is right only where it cannot"
    if end == "deferred":
        return "" if sheet_for(model, case.truth) else _no_sheet(case, model)
    return f"no repair of the model clears {listed(left, 'and')}; it cannot be rectified" if left else ""


def _no_sheet(case: Case, model: Model) -> str:
    allowed = [name for name, line in model.deferrals.items() if line.allowed]
    sheet = f"the sheet has {listed(allowed, 'and')}" if allowed else "the model has no deferral sheet"
    return f"no line of the deferral sheet covers {listed(case.truth, 'and')}; {sheet}"
