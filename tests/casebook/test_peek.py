"""A glance at a case tells what the loaded case does, or nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.casebook.library import case_files, model_file
from faultiso.casebook.peek import peek
from tests.casebook.frame import DARK, LAMP, MODELS
from tests.practice.frame import case_of


@pytest.mark.parametrize("name", list(case_files()))
def test_the_glance_is_what_is_loaded(name: str) -> None:
    case, model = case_of(name)
    glance = peek(case_files()[name])
    assert glance is not None
    assert (glance.name, glance.title, glance.stage, glance.write_up) == (
        case.name, case.title, case.stage, case.write_up,
    )  # fmt: skip
    assert (glance.model.title, glance.model.subject) == (model.title, model.subject)


def test_a_model_beside_the_case_or_in_a_folder(tmp_path: Path) -> None:
    assert model_file("lamp.yaml", LAMP.parent) == LAMP
    assert model_file("lamp", Path(), (tmp_path, LAMP.parent)) == LAMP
    glance = peek(DARK)
    assert glance is not None and glance.model.title == "bench lamp"
    assert MODELS.loaded("lamp.yaml", LAMP.parent).model is not None


@pytest.mark.parametrize(
    "text",
    [
        "", "[]", "case: a", "case: [", "case: &a x\ntitle: *a", "\x00", "case: 1\ntitle: 2\nstage: 3\nwrite_up: 4\nmodel: 5",
        "case: a\ntitle: b\nstage: c\nwrite_up: d\nmodel: no-such-model",
    ],
)  # fmt: skip
def test_what_is_not_as_usual_has_to_be_loaded_first(text: str, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(text, "utf-8")
    assert peek(tmp_path / "a.yaml") is None
    assert peek(tmp_path / "nothing.yaml") is None
    (tmp_path / "a.yaml").write_bytes(b"case: \xff")
    assert peek(tmp_path / "a.yaml") is None
