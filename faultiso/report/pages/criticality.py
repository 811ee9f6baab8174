"""How grave the faults of a model are: a matrix and every fault, as a page, as data, as rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Literal

from faultiso.appraisal.criticality import CLASSES, LEVELS, Criticality
from faultiso.report.counts import counted
from faultiso.report.csv_safe import Value
from faultiso.report.page import Block, Column, Heading, KeyValues, Page, Table, Text

MOST_SHOWN = 12
HEAD: tuple[str, ...] = (
    "fault", "unit", "severity", "level", "rate", "share of the unit", "criticality number", "share of all",
)  # fmt: skip
UNSTATED = "not stated"
MEANING = (
    "After MIL-STD-1629A, Task 102. Cm: rate times hours; the chance that a fault leads to the worst that it "
    "may lead to is taken as 1. Level: A, more than 20 in 100 of all that fails; B more than 10, C than 1, D "
    "than 0.1, E the rest."
)


def criticality_screen(found: Criticality, files: Sequence[tuple[str, str]] = ()) -> Page:
    """The matrix in numbers and the gravest faults."""
    blocks = [*_blocks(found, MOST_SHOWN)]
    if files:
        blocks.append(KeyValues(tuple(files)))
    return Page(_title(found), found.model.subject, tuple(blocks), last=True)


def criticality_paper(found: Criticality) -> Page:
    """Every fault and every unit, the matrix with names."""
    return Page(_title(found), found.model.subject, tuple(_blocks(found, None)))


def _title(found: Criticality) -> str:
    return f"Criticality of {found.model.title}"


def _blocks(found: Criticality, most: int | None) -> Iterator[Block]:
    yield Text(f"{counted(len(found.modes), 'fault')}, {found.hours:g} hours. {MEANING}")
    missing = len(found.modes) - found.stated
    if missing:
        some = f"{counted(missing, 'fault')} {'states' if missing == 1 else 'state'} no severity"
        what = some if found.stated else "None of the faults states a severity"
        yield Text(f"{what}: ranked by rate alone. Add severity: to a fault.", apart=True)
    yield Heading("Matrix")
    yield _matrix(found, names=most is None)
    yield Heading("Faults")
    heads = (Column("fault"), Column("severity"), Column("level"), Column("Cm", "number"))
    rows = tuple(
        (mode.fault, mode.severity or UNSTATED, mode.level, f"{mode.number:.3g}")
        for mode in found.modes[:most]
    )
    yield Table(heads, rows, "criticality of faults")
    if most is not None and len(found.modes) > most:
        yield Text(f"{len(found.modes) - most} more; the page (--html) has all of them.", quiet=True)
    if most is None:
        yield from _units(found)


def _matrix(found: Criticality, names: bool) -> Table:
    """Levels down, severities across, the gravest first; how many faults, or which."""
    cells = found.matrix()
    classes = [*CLASSES, *([""] if any(severity == "" for _, severity in cells) else [])]
    rows = []
    for level in LEVELS:
        own = [cells.get((level, severity), ()) for severity in classes]
        rows.append((level, *(", ".join(each) if names else str(len(each) or "") for each in own)))
    kind: Literal["text", "number"] = "text" if names else "number"
    columns = (Column("level"), *(Column(severity or UNSTATED, kind) for severity in classes))
    return Table(columns, tuple(rows), "faults by probability level and severity")


def _units(found: Criticality) -> Iterator[Block]:
    yield Heading("Units")
    rows = tuple(
        (unit, severity or UNSTATED, f"{number:.3g}")
        for unit, numbers in found.items().items()
        for severity, number in numbers.items()
    )
    yield Table(
        (Column("unit"), Column("severity"), Column("Cr", "number")), rows, "criticality of units by severity"
    )


def criticality_rows(found: Criticality) -> Iterator[tuple[Value, ...]]:
    """One row for each fault, a cell for each title of ``HEAD``."""
    for mode in found.modes:
        yield (
            mode.fault, mode.unit, mode.severity or None, mode.level, mode.rate, mode.alpha, mode.number,
            mode.share,
        )  # fmt: skip


def criticality_record(found: Criticality) -> dict[str, Any]:
    """What ``model criticality --json`` prints."""
    return {
        "model": found.model.name,
        "hours": found.hours,
        "without_severity": len(found.modes) - found.stated,
        "faults": [dict(vars(mode)) for mode in found.modes],
        "units": [
            {"unit": unit, "severity": severity, "number": number}
            for unit, numbers in found.items().items()
            for severity, number in numbers.items()
        ],
        "matrix": [
            {"level": level, "severity": severity, "faults": faults}
            for (level, severity), faults in sorted(found.matrix().items())
        ],
    }
