"""The cases there are. What kind a case is and how it ends would give it away, so neither stands here."""

from __future__ import annotations

from collections.abc import Mapping

from faultiso.casebook.load import Loaded
from faultiso.report.page import Column, Page, Table, Text

_COLUMNS = (
    Column("name"),
    Column("title"),
    Column("stage"),
    Column("difficulty"),
    Column("system"),
    Column("state"),
)


def case_list_page(cases: Mapping[str, Loaded], levels: Mapping[str, str]) -> Page:
    """One row a case by its name; ``levels``: the difficulty of each that is valid."""
    if not cases:
        return Page("Cases", blocks=(Text("There are no cases yet."),))
    rows = tuple(_row(name, loaded, levels.get(name, "")) for name, loaded in cases.items())
    example = Text(f"For example: faultiso case show {rows[0][0]}")
    return Page("Cases", blocks=(Table(_COLUMNS, rows), example))


def _row(name: str, loaded: Loaded, level: str) -> tuple[str, ...]:
    case, model = loaded.case, loaded.model
    if case is None or model is None:
        return (name, "not valid: see faultiso case check", "", "", "", "")
    return (name, case.title, case.stage, level, model.title, case.review.state)


def case_list_record(name: str, loaded: Loaded, level: str) -> dict[str, object]:
    """One case for a JSON document."""
    case, model = loaded.case, loaded.model
    if case is None or model is None:
        return {"name": name, "valid": False}
    return {
        "name": name,
        "valid": True,
        "title": case.title,
        "stage": case.stage,
        "difficulty": level or None,
        "model": model.name,
        "state": case.review.state,
        "version": case.review.version,
    }
