"""What the tests of the language share: a head for fragments of a model, and the files beside the tests."""

from __future__ import annotations

import textwrap
from pathlib import Path

from faultiso.language.load import Loaded, load_text
from faultiso.report.pages.problems import problems_page
from faultiso.report.terminal import render_blocks

HERE = Path(__file__).parent
SMALL = HERE / "small.yaml"
MODELS = HERE.parent.parent / "models"
HEAD = "model: test\ntitle: test\nsubject: invented\n"


def load_fragment(text: str, lint: bool = True) -> Loaded:
    """A model of which only some sections are written down."""
    return load_text(HEAD + textwrap.dedent(text), lint=lint)


def told(loaded: Loaded) -> str:
    """The problems as the user reads them, without the title of the page."""
    page = problems_page("model.yaml", loaded.model, loaded.problems, loaded.texts)
    return render_blocks(page.blocks).rstrip("\n") + "\n"


def codes(loaded: Loaded) -> list[str]:
    return [problem.code for problem in loaded.problems]
