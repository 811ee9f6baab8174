"""How well a model explains rows held back: likelihood, calibration, how high the found fault stood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from faultiso.learning.conjugate import Beta
from faultiso.learning.problem import own_hours
from faultiso.learning.roots import Roots
from faultiso.learning.rows import Counted, Evidence, Finding, Row
from faultiso.learning.scenes import Scene
from faultiso.model.system import Model
from faultiso.network.network import Array

#: ends of the bands of stated chances
BANDS = (0.0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)
WEAK = 3.0


@dataclass(frozen=True)
class Judged:
    """One kind of row under a model. ``readings`` and ``finding``: natural logarithm of the chance of what
    was read, and of what was then found; ``rank`` of the best placed fault that was there, 0 where none is
    named or nothing was amiss (an inspection found it, and no model could have known)."""

    row: Row
    times: int
    lines: tuple[int, ...]
    readings: float
    finding: float
    rank: int
    present: tuple[float, ...]

    @property
    def total(self) -> float:
        return self.readings + self.finding

    @property
    def possible(self) -> bool:
        return math.isfinite(self.total)


@dataclass(frozen=True)
class Band:
    """Chances stated from ``low`` to ``high``: how many, their mean, the share that was so, its interval."""

    low: float
    high: float
    number: int
    stated: float
    so: float
    interval: tuple[float, float]


@dataclass(frozen=True)
class Fit:
    """``readings``, ``finding`` and ``quiet``: means of a row, natural logarithm; ``quiet`` is of the hours
    before it in which nothing came up. ``within``: the share of rows with a proved fault in which it stood
    first, and among the first three."""

    model: Model
    rows: int
    impossible: tuple[Judged, ...]
    readings: float
    finding: float
    quiet: float
    proved: int
    within: tuple[float, float]
    bands: tuple[Band, ...]
    brier: float | None
    judged: tuple[Judged, ...]

    @property
    def log_likelihood(self) -> float:
        return self.readings + self.finding + self.quiet


def fit(model: Model, evidence: Evidence) -> Fit:
    """How the model explains the rows and the hours between them; nothing is learnt from them."""
    own = own_hours(model, evidence)
    judged = judge(replace(model, flight_hours_at_risk=own), evidence.rows)
    good = [each for each in judged if each.possible]
    times = sum(each.times for each in good)
    proved = [each for each in good if each.rank]
    named = sum(each.times for each in proved)
    return Fit(
        model=model,
        rows=times,
        impossible=tuple(each for each in judged if not each.possible),
        readings=_mean(good, [each.readings for each in good]),
        finding=_mean(good, [each.finding for each in good]),
        quiet=-_quiet_hours(evidence, own) * sum(fault.rate for fault in model.faults.values()),
        proved=named,
        within=(_within(proved, 1, named), _within(proved, 3, named)),
        bands=bands(model, proved),
        brier=_brier(model, proved),
        judged=judged,
    )


def _quiet_hours(evidence: Evidence, own: float) -> float:
    """Of one row, beside its own."""
    return max(evidence.hours / max(evidence.times, 1) - own, 0.0)


def _mean(rows: Sequence[Judged], values: Sequence[float]) -> float:
    total = sum(each.times for each in rows)
    return math.fsum(e.times * v for e, v in zip(rows, values, strict=True)) / total if total else math.nan


def _within(rows: Sequence[Judged], top: int, total: int) -> float:
    return sum(each.times for each in rows if each.rank <= top) / total if total else math.nan


def judge(model: Model, rows: Sequence[Counted]) -> tuple[Judged, ...]:
    """Each row under the model, in the given order."""
    ground = Roots(model)
    groups: dict[object, list[int]] = {}
    for number, row in enumerate(rows):
        groups.setdefault(row.row.timeline, []).append(number)
    found: dict[int, Judged] = {}
    for numbers in groups.values():
        some = [rows[number] for number in numbers]
        for number, each in zip(numbers, _judged(ground, some), strict=True):
            found[number] = each
    return tuple(found[number] for number in range(len(rows)))


def _judged(ground: Roots, rows: Sequence[Counted]) -> list[Judged]:
    bare = [Counted(Row(c.row.timeline, c.row.readings), c.times) for c in rows]
    seen = Scene(ground, bare, (), WEAK).expect(np.zeros(0))
    whole = Scene(ground, rows, (), WEAK).expect(np.zeros(0))
    faults = list(ground.model.faults)
    found = []
    for place, counted in enumerate(rows):
        present = seen.present[:, place]
        readings = float(seen.log_chance[place])
        after = float(whole.log_chance[place]) - readings if math.isfinite(readings) else -math.inf
        rank = _rank(ground.model, faults, present, counted.row)
        found.append(
            Judged(counted.row, counted.times, counted.lines, readings, after, rank, tuple(present.tolist()))
        )
    return found


def there(model: Model, finding: Finding) -> set[str]:
    """The faults that were proved, those of proved units included; none where nothing was proved."""
    if finding.words != "proved":
        return set()
    return {*finding.faults, *(f.name for unit in finding.units for f in model.components[unit].faults)}


def _rank(model: Model, faults: Sequence[str], present: Array, row: Row) -> int:
    found = there(model, row.finding)
    if not found or not row.complained:
        return 0
    best = max(present[faults.index(name)] for name in found)
    return 1 + int((present > best * (1 + 1e-12)).sum())


def bands(model: Model, rows: Sequence[Judged]) -> tuple[Band, ...]:
    """Stated chances of all faults in rows in which single faults were proved, against what was so."""
    stated, so, times = _statements(model, rows)
    found = []
    for low, high in pairwise(BANDS):
        inside = (stated >= low) & ((stated < high) | (high == 1.0))
        number = float(times[inside].sum())
        if number:
            yes = float(times[inside] @ so[inside])
            mean = float(times[inside] @ stated[inside]) / number
            found.append(Band(low, high, round(number), mean, yes / number, share_interval(yes, number)))
    return tuple(found)


def share_interval(yes: float, number: float, level: float = 0.9) -> tuple[float, float]:
    """Clopper and Pearson's interval of a share (Biometrika 26:404-413, 1934)."""
    tail = (1 - level) / 2
    low = Beta(yes, number - yes + 1).quantile(tail) if yes else 0.0
    high = Beta(yes + 1, number - yes).quantile(1 - tail) if yes < number else 1.0
    return low, high


def _statements(model: Model, rows: Sequence[Judged]) -> tuple[Array, Array, Array]:
    faults = list(model.faults)
    rows = [each for each in rows if not each.row.finding.units]
    stated = np.array([each.present for each in rows]).reshape(len(rows), len(faults))
    so = np.array([[name in each.row.finding.faults for name in faults] for each in rows], dtype=float)
    times = np.repeat(np.array([each.times for each in rows], dtype=float), len(faults))
    return stated.ravel(), so.reshape(stated.shape).ravel(), times


def _brier(model: Model, rows: Sequence[Judged]) -> float | None:
    stated, so, times = _statements(model, rows)
    return float(times @ (stated - so) ** 2 / times.sum()) if times.sum() else None
