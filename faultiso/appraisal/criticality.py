"""Criticality of faults: MIL-STD-1629A (1980), Task 102, from memory.

Of a mode: Cm = beta * alpha * lambda * t. Of an item in one severity class: Cr, the sum over its modes of
that class. A model states the rate of each fault, which is alpha * lambda of its unit, and as severity the
worst that the fault may lead to; beta, the chance that it does lead there, is no figure of a model and
taken as 1.
The standard's probability levels go by the share of a mode in the failure probability of its item. Here the
item is the whole system of the model: within one unit every single fault would be of level A.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from faultiso.model.parts import SEVERITIES, SeverityClass
from faultiso.model.system import Model
from faultiso.network.ground import prior

#: levels with the share above which a mode is of that level, the most probable first
LEVELS: Mapping[str, float] = {"A": 0.20, "B": 0.10, "C": 0.01, "D": 0.001, "E": 0.0}
CLASSES: tuple[SeverityClass, ...] = tuple(SEVERITIES.values())


@dataclass(frozen=True)
class Mode:
    """One fault. ``alpha``: its share of the rate of its unit; ``number``: Cm in the given hours; ``share``:
    in the probability that anything fails; ``severity`` "" where the model states none."""

    fault: str
    unit: str
    rate: float
    alpha: float
    severity: str
    number: float
    share: float
    level: str


@dataclass(frozen=True)
class Criticality:
    """The modes of a model, the gravest and then the most frequent first, those without severity last."""

    model: Model
    hours: float
    modes: tuple[Mode, ...]

    @property
    def stated(self) -> int:
        """How many modes have a severity."""
        return sum(bool(mode.severity) for mode in self.modes)

    def items(self) -> dict[str, dict[str, float]]:
        """Cr of each unit by severity class, the classes that it has modes in; units in the model's order."""
        found: dict[str, dict[str, float]] = {}
        for name in self.model.components:
            own = [(mode.severity, mode.number) for mode in self.modes if mode.unit == name]
            if own:
                found[name] = item_numbers(own)
        return found

    def matrix(self) -> dict[tuple[str, str], tuple[str, ...]]:
        """The faults by (level, severity class)."""
        cells: dict[tuple[str, str], tuple[str, ...]] = {}
        for mode in self.modes:
            cell = (mode.level, mode.severity)
            cells[cell] = (*cells.get(cell, ()), mode.fault)
        return cells


def mode_number(beta: float, alpha: float, rate: float, hours: float) -> float:
    """Cm of a mode: ``rate`` is that of the item, per hour."""
    return beta * alpha * rate * hours


def item_numbers(modes: Iterable[tuple[str, float]]) -> dict[str, float]:
    """Cr by severity class, from (class, Cm) of each mode."""
    parts: dict[str, list[float]] = {}
    for severity, number in modes:
        parts.setdefault(severity, []).append(number)
    return {severity: math.fsum(numbers) for severity, numbers in parts.items()}


def level(share: float) -> str:
    """The level of a mode by its share of the failure probability of the item, here the whole model; what is
    just at a limit is of the lower level."""
    return next((name for name, least in LEVELS.items() if share > least), "E")


def criticality(model: Model, hours: float | None = None) -> Criticality:
    """Judge every fault of a model over some hours (default: the flight hours at risk)."""
    hours = model.flight_hours_at_risk if hours is None else hours
    rates = {name: fault.rate for name, fault in model.faults.items()}
    anything = -math.expm1(-math.fsum(rates.values()) * hours)
    units = {name: math.fsum(f.rate for f in unit.faults) for name, unit in model.components.items()}
    modes = []
    for name, fault in model.faults.items():
        whole = units[fault.component]
        alpha = fault.rate / whole if whole > 0 else 0.0
        share = prior(fault, hours) / anything if anything > 0 else 0.0
        number = mode_number(1.0, alpha, whole, hours)
        modes.append(
            Mode(name, fault.component, fault.rate, alpha, fault.severity, number, share, level(share))
        )
    return Criticality(model, hours, tuple(sorted(modes, key=_order)))


def _order(mode: Mode) -> tuple[int, float, str]:
    classes: Sequence[str] = (*CLASSES, "")
    return classes.index(mode.severity), -mode.number, mode.fault
