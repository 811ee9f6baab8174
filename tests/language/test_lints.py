"""Every lint fires on its wrong examples and is silent on its right ones: docstring and case file."""

from __future__ import annotations

import importlib
import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from faultiso.language import lints
from tests.language.frame import HERE, codes, load_fragment

CODES = {*lints.ESSENTIAL, *lints.THOROUGH}


def module_names() -> set[str]:
    folder = Path(lints.__file__).parent
    return {path.stem for path in folder.glob("*.py")} - {"__init__"}


def case_files() -> dict[str, list[dict[str, Any]]]:
    return {
        path.stem: yaml.load(path.read_text("utf-8"), yaml.BaseLoader) for path in HERE.glob("lints/*.yaml")
    }


CASES = [(code, case) for code, cases in sorted(case_files().items()) for case in cases]


def test_every_file_is_a_lint_that_is_run_and_has_cases():
    assert module_names() == CODES == set(case_files())


def test_every_case_file_has_a_wrong_and_a_right_case():
    for code, cases in case_files().items():
        assert any("wrong" in case for case in cases), code
        assert any("right" in case for case in cases), code


@pytest.mark.parametrize(("code", "case"), CASES, ids=[f"{code}: {case['name']}" for code, case in CASES])
def test_case(code, case):
    loaded = load_fragment(case.get("wrong") or case["right"])
    assert set(codes(loaded)) <= CODES, [str(problem) for problem in loaded.problems]
    own = [problem for problem in loaded.problems if problem.code == code]
    if "right" in case:
        assert not own
    else:
        assert case["expect"] in "\n".join(str(problem) for problem in own)
        assert all(problem.where.line > 0 for problem in own)


@pytest.mark.parametrize("code", sorted(CODES))
def test_docstring(code):
    text = importlib.import_module(f"faultiso.language.lints.{code}").__doc__
    parts = re.fullmatch(r"(.+?)\n\nWrong:\n\n(.+?)\n\nRight:\n\n(.+)", text.strip(), re.DOTALL)
    assert parts, "expected a sentence, Wrong: with an example, Right: with an example"
    wrong, right = codes(load_fragment(parts[2])), codes(load_fragment(parts[3]))
    assert code in wrong
    assert code not in right
    assert set(wrong + right) <= CODES


def test_thorough_lints_are_left_out_on_request():
    fragment = "components: {filter: {faults: {clogged: {rate: 1e-5}}}}"
    assert load_fragment(fragment, lint=False).problems == ()
    assert "sourceless" in codes(load_fragment(fragment))


def test_essential_lints_are_always_judged():
    fragment = "quantities: {a: {levels: [ok, bad], rules: [{when: {a: bad}, then: bad}]}}"
    loaded = load_fragment(fragment, lint=False)
    assert codes(loaded) == ["cycle"]
    assert loaded.model is None
