"""Marks as statements for a learning record store: xAPI 2.0 (IEEE 9274.1.1), one statement for each session.

Candidates are account numbers, never names. Verbs and activities are of a namespace of our own, below a
domain that is reserved for examples (RFC 2606), so that nothing of it can belong to anybody else.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import quote
from uuid import NAMESPACE_URL, uuid5

from faultiso import __version__
from faultiso.base.notice import full_notice
from faultiso.base.text import one_line

VERSION = "2.0.0"
SPACE = "https://faultiso.example"
#: a result is what an instructor confirmed; anything else is a proposal
_VERBS = {"marked": "was given a mark for", "proposed": "was proposed a mark for"}
_MOST_TEXT = 500


@dataclass(frozen=True)
class Told:
    """A grade record (``assessment.grade.record``) with what is known beside it.

    ``seal``: of the log, which makes the statement's id the same whenever it is written; ``at``: when it was
    marked, ``began`` and ``ended``: by the clock of the candidate's machine.
    """

    record: Mapping[str, Any]
    seal: str
    at: datetime
    confirmed: bool = False
    began: datetime | None = None
    ended: datetime | None = None


def statements(told: Iterable[Told]) -> list[dict[str, Any]]:
    """The statements, in the given order; each is a JSON object. ValueError if a moment has no time zone."""
    return [_statement(each) for each in told]


def _statement(told: Told) -> dict[str, Any]:
    verb = "marked" if told.confirmed else "proposed"
    key = "|".join((told.seal, verb, str(told.record["mark"]), str(told.record["passed"]), _time(told.at)))
    return {
        "id": str(uuid5(NAMESPACE_URL, f"{SPACE}/statements/{key}")),
        "actor": _actor(str(told.record["id"])),
        "verb": {"id": f"{SPACE}/verbs/{verb}", "display": {"en": _VERBS[verb]}},
        "object": _activity(str(told.record["case"])),
        "result": _result(told),
        "context": _context(told),
        "timestamp": _time(told.at),
        "version": VERSION,
    }


def _actor(candidate: str) -> dict[str, Any]:
    """An agent by its account: the only way of four to name one that gives no person away."""
    return {
        "objectType": "Agent",
        "account": {"homePage": SPACE, "name": one_line(candidate, 40) or "unknown"},
    }


def _activity(case: str) -> dict[str, Any]:
    return {
        "objectType": "Activity",
        "id": f"{SPACE}/cases/{quote(one_line(case, 120), safe='')}",
        "definition": {"type": f"{SPACE}/activity-types/practice-case", "name": {"en": one_line(case, 120)}},
    }


def _result(told: Told) -> dict[str, Any]:
    record = told.record
    mark = min(100.0, max(0.0, float(record["mark"])))
    result: dict[str, Any] = {
        "score": {"scaled": round(mark / 100.0, 4), "raw": mark, "min": 0, "max": 100},
        "completion": str(record["end"]) != "unfinished",
        "extensions": {_extension("end"): one_line(str(record["end"]), _MOST_TEXT), **_criteria(record)},
    }
    if told.confirmed:
        result["success"] = bool(record["passed"])
    if told.began is not None and told.ended is not None and told.ended >= told.began:
        result["duration"] = f"PT{(told.ended - told.began).total_seconds():.0f}S"
    return result


def _criteria(record: Mapping[str, Any]) -> dict[str, Any]:
    """Points by criterion, and the minutes of the job, which are not those of a clock."""
    points = {
        str(mark["criterion"]): {"points": mark["points"], "of": mark["of"]} for mark in record["marks"]
    }
    return {_extension("criteria"): points, _extension("job-minutes"): record["minutes"]}


def _context(told: Told) -> dict[str, Any]:
    record = told.record
    return {
        "platform": f"faultiso {__version__}",
        "language": "en",
        "contextActivities": {"category": [{"objectType": "Activity", "id": f"{SPACE}/profile"}]},
        "extensions": {
            _extension("rubric"): one_line(str(record["rubric"]), 120),
            _extension("session"): told.seal,
            _extension("notice"): full_notice(),
        },
    }


def _extension(name: str) -> str:
    return f"{SPACE}/extensions/{name}"


def _time(at: datetime) -> str:
    """RFC 3339 with its zone, which the standard asks for."""
    if at.tzinfo is None:
        raise ValueError("a moment needs its time zone")
    return at.isoformat(timespec="seconds")
