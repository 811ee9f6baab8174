"""One file for each kind of mistake, with the very words that the user gets.

``pytest tests/casebook/test_bad_cases.py --update-golden`` writes the texts anew; then read the diff.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.casebook.lints import OF_SENSE, OF_TEXTS
from faultiso.casebook.load import load_case
from tests.casebook.frame import HERE, MODELS, told

BAD = HERE / "bad"
FILES = sorted(path.name for path in BAD.glob("*.yaml"))


def test_there_are_enough() -> None:
    assert len(FILES) >= 45


@pytest.mark.parametrize("name", FILES)
def test_the_user_is_told(name: str, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(BAD)
    loaded = load_case(name, MODELS)
    assert loaded.case is None
    assert loaded.errors
    shown = told(loaded)
    expected = Path(name).with_suffix(".txt")
    if request.config.getoption("--update-golden"):
        expected.write_text(shown, "utf-8")
    assert shown == expected.read_text("utf-8")
    assert max(len(line) for line in shown.splitlines()) <= 80


@pytest.mark.parametrize("name", FILES)
def test_every_problem_has_its_place(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(BAD)
    for problem in load_case(name, MODELS).problems:
        assert problem.where.file == name
        if problem.code != "empty":
            assert problem.where.line > 0
            assert problem.where.column > 0


def test_every_lint_that_gives_errors_has_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(BAD)
    found = {problem.code for name in FILES for problem in load_case(name, MODELS).problems}
    others = {"chapter", "precautions"}  # never more than a warning; in another model than that of the files
    assert {*OF_TEXTS, *OF_SENSE} - others <= found
