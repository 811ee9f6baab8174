"""What the tests of the language share: a head for fragments of a model, and the files beside the tests."""

from __future__ import annotations

import textwrap
from pathlib import Path

from faultiso.language.load import Loaded, load_text

HERE = Path(__file__).parent
SMALL = HERE / "small.yaml"
MODELS = HERE.parent.parent / "models"
HEAD = "model: test\ntitle: test\nsubject: invented\n"


def load_fragment(text: str, lint: bool = True) -> Loaded:
    """A model of which only some sections are written down."""
    return load_text(HEAD + textwrap.dedent(text), lint=lint)


def codes(loaded: Loaded) -> list[str]:
    return [problem.code for problem in loaded.problems]
