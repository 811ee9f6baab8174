"""The models that come with the program."""

from __future__ import annotations

from collections.abc import Mapping

from faultiso.base.notice import IN_TITLE
from faultiso.model.system import Model
from faultiso.report.counts import sizes
from faultiso.report.page import Column, Page, Table, Text

_COLUMNS = (
    Column("name"),
    Column("title"),
    Column("kind"),
    Column("faults", "number"),
    Column("checks", "number"),
)


def model_list_page(models: Mapping[str, Model | None]) -> Page:
    """One row a model by its name; None stands for a file that can not be read."""
    if not models:
        return Page("Models", blocks=(Text("No model comes with this copy of the program."),))
    rows = tuple(_row(name, model) for name, model in models.items())
    example = Text(f"For example: faultiso model show {rows[0][0]}")
    return Page("Models", blocks=(Table(_COLUMNS, rows), example))


def _row(name: str, model: Model | None) -> tuple[str, ...]:
    if model is None:
        return (name, "not valid: see faultiso model check", "", "", "")
    return (name, model.title, IN_TITLE[model.subject], str(len(model.faults)), str(len(model.checks)))


def model_record(name: str, model: Model | None) -> dict[str, object]:
    """One model for a JSON document."""
    if model is None:
        return {"name": name, "valid": False}
    return {
        "name": name,
        "valid": True,
        "title": model.title,
        "subject": model.subject,
        "state": model.review.state,
        "version": model.review.version,
        "counts": sizes(model),
    }
