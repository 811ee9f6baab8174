"""A fault-isolation trainer: causal models of invented systems, exact reasoning, practice, grading.

Training aid; not approved maintenance data. The names promised here are imported when first used
(PEP 562), so that ``import faultiso`` costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "load_model": "faultiso.belief.reasoner",
    "read_network": "faultiso.belief.plain",
    "Reasoner": "faultiso.belief.reasoner",
    "load_case": "faultiso.casebook.load",
    "Advisor": "faultiso.planning.advice",
    "judgement": "faultiso.appraisal.testability",
    "tornado": "faultiso.appraisal.sensitivity.tornado",
    "criticality": "faultiso.appraisal.criticality",
    "load_history": "faultiso.learning.history",
    "learn": "faultiso.learning.learn",
    "fit": "faultiso.learning.fit",
}

__all__ = ["__version__", *_HOMES]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'faultiso' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
