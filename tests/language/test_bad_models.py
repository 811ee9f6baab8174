"""One file for each kind of mistake, with the very words that the user gets.

``pytest tests/language/test_bad_models.py --update-golden`` writes the texts anew; then read the diff.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.language.load import load
from tests.language.frame import HERE, told

BAD = HERE / "bad"
FILES = sorted(path.name for path in BAD.glob("*.yaml"))


def test_there_are_enough():
    assert len(FILES) >= 40


@pytest.mark.parametrize("name", FILES)
def test_the_user_is_told(name, request, monkeypatch):
    monkeypatch.chdir(BAD)
    loaded = load(name)
    assert loaded.model is None
    assert loaded.errors
    shown = told(loaded)
    expected = Path(name).with_suffix(".txt")
    if request.config.getoption("--update-golden"):
        expected.write_text(shown, "utf-8")
    assert shown == expected.read_text("utf-8")
    assert max(len(line) for line in shown.splitlines()) <= 80


@pytest.mark.parametrize("name", FILES)
def test_every_problem_has_its_place(name, monkeypatch):
    """File, line and column, and a length that stays on the line."""
    monkeypatch.chdir(BAD)
    for problem in load(name).problems:
        assert problem.where.file == name
        if problem.code not in ("empty",):
            assert problem.where.line > 0
            assert problem.where.column > 0
