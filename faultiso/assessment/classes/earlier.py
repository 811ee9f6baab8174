"""An earlier class beside this one, from the record that was kept of it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from faultiso.base.bounded import read_bounded
from faultiso.base.problems import UsageError
from faultiso.base.text import one_line

LARGEST = 50_000_000  # bytes of a record that is read


@dataclass(frozen=True)
class Earlier:
    """``people`` and how many of them ``passed``; ``mean`` of their marks; ``cases``: name -> (n, mean)."""

    title: str
    rubric: str
    people: int
    passed: int
    mean: float | None
    cases: Mapping[str, tuple[int, float]]


def read_earlier(path: Path) -> Earlier:
    """What ``faultiso grade --json`` wrote of a class. UsageError if it is not that."""
    data = read_bounded(path, LARGEST, "record of an earlier class")
    if len(data) > LARGEST:
        raise UsageError(f"{path}: larger than {LARGEST // 1_000_000} MB; expected the record of a class.")
    try:
        return earlier_of(json.loads(data.decode("utf-8-sig")))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError):
        raise UsageError(
            f"{path}: this is no record of a class; expected what faultiso grade FOLDER --json wrote."
        ) from None


def earlier_of(data: Mapping[str, Any]) -> Earlier:
    """Raises one of the errors of a wrong look-up where something is missing or of another kind."""
    people = data["people"]
    marks = [_number(person["mark"]) for person in people]
    return Earlier(
        title=one_line(str(data["class"])),
        rubric=one_line(str(data["rubric"])),
        people=len(people),
        passed=sum(person["passed"] is True for person in people),
        mean=sum(marks) / len(marks) if marks else None,
        cases={str(case["name"]): (int(case["n"]), _number(case["mean"])) for case in data["cases"]},
    )


def _number(value: object) -> float:
    if not isinstance(value, int | float) or not 0 <= value <= 100:
        raise ValueError("no mark")
    return float(value)
