"""What was practised and how it went, from the records of debriefs; and which case comes next."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from faultiso.casebook.case import STAGES, Case

FIRST = "first-light"
LARGEST = 4_000_000  # bytes of a record that is read


@dataclass(frozen=True)
class Done:
    """One practice that was ended; ``well``: right end, no good unit off, no critical hazard missed."""

    session: str
    case: str
    right: bool
    well: bool
    minutes: float
    aims: tuple[str, ...]


def history(folder: Path) -> tuple[Done, ...]:
    """All records of a folder, the oldest first; what cannot be read is passed over."""
    files = sorted(folder.glob("[0-9]*.json")) if folder.is_dir() else []
    return tuple(done for file in files if (done := _done(file)) is not None)


def _done(file: Path) -> Done | None:
    try:
        if file.stat().st_size > LARGEST:
            return None
        data = json.loads(file.read_text(encoding="utf-8", errors="replace"))
        return _of(file.stem[:4], data)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _of(session: str, data: Mapping[str, Any]) -> Done:
    right = bool(data["right"])
    critical = any(item["critical"] for item in data["missed"])
    well = right and not data["good_units_removed"] and not critical
    aims = tuple(str(name) for name in data["aims"])
    return Done(session, str(data["case"]), right, well, float(data["minutes"]), aims)


def mastery(done: Iterable[Done]) -> dict[str, float]:
    """Aim -> how well its cases went, the last three of them: 1 all well, 0 none."""
    went: dict[str, list[bool]] = defaultdict(list)
    for each in done:
        for aim in each.aims:
            went[aim].append(each.well)
    return {aim: sum(results[-3:]) / len(results[-3:]) for aim, results in sorted(went.items())}


def next_cases(cases: Sequence[Case], done: Sequence[Done]) -> list[Case]:
    """The cases not yet worked well, the next one first: by the weakest aim, then of the lowest stage.

    Who has done nothing yet begins with ``FIRST``. Those for examination are not proposed.
    """
    went_well = {each.case for each in done if each.well}
    weak = mastery(done)
    left = [case for case in cases if case.name not in went_well and case.stage != "examination"]

    def rank(case: Case) -> tuple[float, int, int, bool, str]:
        weakest = min((weak.get(aim.name, 0.5) for aim in case.aims), default=0.5) if weak else 0.0
        tried = sum(each.case == case.name for each in done)
        return weakest, STAGES.index(case.stage), tried, case.name != FIRST, case.name

    return sorted(left, key=rank)


def next_case(cases: Sequence[Case], done: Sequence[Done]) -> Case | None:
    """The case that comes next; None if all went well."""
    return next(iter(next_cases(cases, done)), None)
