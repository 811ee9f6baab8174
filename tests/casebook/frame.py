"""What the tests of cases share: the small case, and models and cases made of changed text."""

from __future__ import annotations

from pathlib import Path

from faultiso.casebook.load import Loaded, load_case_text
from faultiso.casebook.models import Models
from faultiso.report.pages.problems import problem_blocks
from faultiso.report.terminal import render_blocks

HERE = Path(__file__).parent
SMALL = HERE / "small.yaml"
TEXT = SMALL.read_text("utf-8")
MODELS = Models()


def changed(*changes: tuple[str, str], text: str = TEXT) -> Loaded:
    """The small case with pieces of its text replaced; each must stand in it."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return load_case_text(text, "small.yaml", MODELS)


def told(loaded: Loaded) -> str:
    """The problems as the user reads them."""
    return render_blocks(tuple(problem_blocks(loaded.problems, loaded.texts))).rstrip("\n") + "\n"
