"""The model has changed since the case was tried with it: a reviewed case has to be reviewed again."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """Another version or digest than the case names: an error in a reviewed case, else a warning."""
    severity: Literal["error", "warning"] = "error" if case.review.state == "reviewed" else "warning"
    advice = "check the case again, and say what it was checked with"
    if case.model_version and case.model_version != model.review.version:
        now = f'version "{model.review.version}"' if model.review.version else "without a version"
        tried = f'the case was tried with version "{case.model_version}" of the model'
        message = f"{tried}, which is now {now}; {advice}"
        yield Problem("made_with", case.place("model_version"), message, severity=severity)
    if case.model_digest and not model.digest.startswith(case.model_digest):
        message = f"the model is another than the one that the case was tried with; {advice}"
        yield Problem("made_with", case.place("model_digest"), message, model.digest[:12], severity)
