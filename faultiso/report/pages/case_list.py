"""The cases there are. What kind a case is, its aims and its end would give it away, so none stands here."""

from __future__ import annotations

from collections.abc import Mapping

from faultiso.casebook.load import Loaded
from faultiso.report.page import Column, Page, Table, Text

NOT_STATED = "not stated"
_COLUMNS = (
    Column("name"),
    Column("title"),
    Column("stage"),
    Column("difficulty"),
    Column("system"),
    Column("state"),
)


def case_list_page(cases: Mapping[str, Loaded]) -> Page:
    """One row a case by its name; its difficulty as it is stated, for to compute it takes seconds."""
    if not cases:
        return Page("Cases", blocks=(Text("There are no cases yet."),))
    rows = tuple(_row(name, loaded) for name, loaded in cases.items())
    example = Text(f"For example: faultiso case show {rows[0][0]}")
    computed = Text("not stated: faultiso case check, with the name of the case, computes it")
    unknown = any(NOT_STATED in row for row in rows)
    return Page("Cases", blocks=(Table(_COLUMNS, rows), *((computed,) if unknown else ()), example))


def _row(name: str, loaded: Loaded) -> tuple[str, ...]:
    case, model = loaded.case, loaded.model
    if case is None or model is None:
        return (name, "not valid: see faultiso case check", "", "", "", "")
    return (name, case.title, case.stage, case.difficulty or NOT_STATED, model.title, case.review.state)


def case_list_record(name: str, loaded: Loaded) -> dict[str, object]:
    """One case for a JSON document."""
    case, model = loaded.case, loaded.model
    if case is None or model is None:
        return {"name": name, "valid": False}
    return {
        "name": name,
        "valid": True,
        "title": case.title,
        "stage": case.stage,
        "difficulty": case.difficulty or None,
        "model": model.name,
        "state": case.review.state,
        "version": case.review.version,
    }
