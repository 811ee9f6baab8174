"""The testability of a model as data for programs, and as rows for a spreadsheet, one for each fault."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from faultiso.appraisal.groups import Group
from faultiso.appraisal.isolation import Isolation, Shares
from faultiso.appraisal.testability import Judgement, Told
from faultiso.appraisal.writeups import WriteUp
from faultiso.report.csv_safe import Value

HEAD: tuple[str, ...] = (
    "fault", "unit", "rate", "severity", "detected by the crew", "units alike to the crew",
    "alike to the crew", "detected with checks", "units alike to every check", "alike to every check",
    "written up as", "in", "minutes", "good units off", "right end",
)  # fmt: skip


def testability_record(found: Judgement) -> dict[str, Any]:
    """What ``testability --json`` prints."""
    own = found.signatures
    return {
        "model": found.model.name,
        "faults": len(own.faults),
        "never_alone": own.never_alone,
        "least": found.least,
        "by_indications": _told(found.crew),
        "with_checks": _told(found.everything),
        "faint": [vars(row) for row in found.everything.faint],
        "silent": found.silent,
        "reports": vars(found.reports),
        "indications": [vars(row) for row in found.again],
        "judged": len(found.worked),
        "not_judged": [_write_up(item) for item in found.left],
        "judged_share": found.judged_share,
        "minutes": found.minutes,
        "write_ups": [
            {**_write_up(item.write_up), "ways": [vars(way) for way in item.ways]} for item in found.worked
        ],
        "checks": [{**vars(row), "earns": row.earns} for row in found.checks],
        "readings": [{**vars(row), "write_up": _write_up(row.write_up)} for row in found.readings],
        "misled": [{**vars(row), "write_up": _write_up(row.write_up)} for row in found.misled],
        "idle": found.idle,
        "redundant": found.redundant,
        "cannot_be_made": found.unmade,
    }


def _told(told: Told) -> dict[str, Any]:
    return {
        "by_one_sign": _isolation(told.by_one),
        "any_difference": _isolation(told.at_all),
        "groups": [_group(group) for group in told.groups],
        "the_same": [_group(group) for group in told.never],
    }


def _isolation(found: Isolation) -> dict[str, Any]:
    return {"least": found.least, "by_rate": _shares(found.by_rate), "each_alike": _shares(found.alike)}


def _shares(shares: Shares) -> dict[str, Any]:
    return {"detected": shares.detected, "isolated": shares.isolated, "units": shares.size}


def _group(group: Group) -> dict[str, Any]:
    return dict(vars(group))


def _write_up(item: WriteUp) -> dict[str, Any]:
    return {
        "situation": item.situation,
        "shown": dict(item.shown),
        "faults": item.faults,
        "rate": item.rate,
    }


def testability_rows(found: Judgement) -> Iterator[tuple[Value, ...]]:
    """One row for each fault, a cell for each title of ``HEAD``."""
    own = found.signatures
    ways = {way.fault: (item.write_up, way) for item in found.worked for way in item.ways}
    for place, name in enumerate(own.faults):
        fault = found.model.faults[name]
        write_up, way = ways.get(name, (None, None))
        yield (
            name, fault.component, fault.rate, fault.severity or None,
            *_cells(own.faults, found.crew.by_one, place),
            *_cells(own.faults, found.everything.by_one, place),
            "; ".join(f"{sign} {outcome}" for sign, outcome in write_up.shown) if write_up else None,
            write_up.situation if write_up else None, round(way.minutes, 1) if way else None,
            ", ".join(way.taken_off) if way else None, way.right if way else None,
        )  # fmt: skip


def _cells(faults: tuple[str, ...], found: Isolation, place: int) -> tuple[Value, ...]:
    others = ", ".join(faults[other] for other in sorted(found.groups[place]) if other != place)
    return bool(found.detected[place]), int(found.sizes[place]), others
