"""Every text of a model that people will read, with the place of the part that it belongs to."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from faultiso.base.problems import Where
from faultiso.model.system import Model

_PLAIN = ("title", "about", "text", "precaution", "asks", "placard", "provided", "interval")
_LISTED = ("also", "values", "levels", "outcomes")
_BY_NAME = ("value_titles", "level_titles", "outcome_titles")


def texts(model: Model) -> Iterator[tuple[str, Where]]:
    """The texts of all parts in the order of the model."""
    yield model.title, Where(model.file)
    yield model.about, Where(model.file)
    for section in _sections(model):
        for part in section.values():
            yield from ((text, part.where) for text in _of_part(part))


def _sections(model: Model) -> tuple[Mapping[str, Any], ...]:
    return (
        model.conditions, model.situations, model.zones, model.access, model.equipment, model.people,
        model.cautions, model.components, model.faults, model.quantities, model.indications, model.checks,
        model.repairs, model.deferrals,
    )  # fmt: skip


def _of_part(part: Any) -> Iterator[str]:
    for name in _PLAIN:
        if getattr(part, name, ""):
            yield getattr(part, name)
    for name in _LISTED:
        yield from getattr(part, name, ())
    for name in _BY_NAME:
        yield from getattr(part, name, {}).values()
    if hasattr(part, "verification"):
        yield part.verification.about


def sentences(text: str) -> list[str]:
    """The sentences and half-sentences of a text."""
    return [part for part in re.split(r"[.;:!?]\s+", text) if part]
