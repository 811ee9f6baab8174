"""A first glance at a case file: what is told before anything else, long before case and model are loaded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from faultiso.base.problems import UsageError
from faultiso.casebook.library import model_file
from faultiso.language.peek import LARGEST, parsed
from faultiso.language.peek import Glance as ModelGlance
from faultiso.language.peek import peek as peek_at_model

_KEYS = ("case", "title", "stage", "write_up", "model")


@dataclass(frozen=True, slots=True)
class Glance:
    """The head of a case. ``model``: what a glance at its model shows."""

    name: str
    title: str
    stage: str
    write_up: str
    model: ModelGlance


def peek(path: Path, folders: Sequence[Path] = ()) -> Glance | None:
    """The glance, or None where anything is not quite as usual: then the case has to be loaded first.

    ``folders``: where models are looked for before the shipped ones.
    """
    try:
        text = path.read_text(encoding="utf-8-sig") if path.stat().st_size <= LARGEST else ""
        found = parsed(text) if "&" not in text else None  # no anchors: a glance takes no risk
        if not isinstance(found, dict):
            return None
        name, title, stage, write_up, named = (found.get(key) for key in _KEYS)
        if not all(isinstance(value, str) for value in (name, title, stage, write_up, named)):
            return None
        model = peek_at_model(model_file(str(named), path.parent, folders))
    except (OSError, ValueError, UsageError):
        return None
    return Glance(str(name), str(title), str(stage), str(write_up), model) if model else None
