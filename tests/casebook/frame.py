"""What the tests of cases share: two small cases, one with a small model of its own, and changes of their text."""

from __future__ import annotations

import os
from pathlib import Path

from faultiso.casebook.case import Case
from faultiso.casebook.load import Loaded, load_case_text
from faultiso.casebook.models import Models
from faultiso.language.load import load_text
from faultiso.model.system import Model
from faultiso.report.pages.problems import problem_blocks
from faultiso.report.terminal import render_blocks

HERE = Path(__file__).parent
SMALL, DARK, LAMP = HERE / "small.yaml", HERE / "dark.yaml", HERE / "lamp.yaml"
MODELS = Models()
Change = tuple[str, str]


def replaced(path: Path, *changes: Change) -> str:
    """The text of a file with pieces replaced; each must stand in it."""
    text = path.read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def changed(path: Path, *changes: Change) -> Loaded:
    """A case with pieces of its text replaced."""
    text = replaced(path, *changes).replace("model: lamp.yaml", f"model: {os.path.relpath(LAMP)}", 1)
    return load_case_text(text, path.name, MODELS)


def case_of(path: Path, *changes: Change) -> tuple[Case, Model]:
    """The same, which must be without an error."""
    loaded = changed(path, *changes)
    assert loaded.case is not None and loaded.model is not None, [str(p) for p in loaded.problems]
    return loaded.case, loaded.model


def lamp(*changes: Change) -> Model:
    """The model of the lamp with pieces of its text replaced."""
    model = load_text(replaced(LAMP, *changes), lint=False).model
    assert model is not None
    return model


def told(loaded: Loaded) -> str:
    """The problems as the user reads them."""
    return render_blocks(tuple(problem_blocks(loaded.problems, loaded.texts))).rstrip("\n") + "\n"
