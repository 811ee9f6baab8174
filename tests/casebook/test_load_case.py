"""A case is read with its model, knows its places and its digest, and is found beside its model."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

import pytest

import faultiso
from faultiso.base.problems import InvalidModel
from faultiso.casebook.case import Pin, Setting
from faultiso.casebook.load import load_case, read_case
from faultiso.casebook.models import Models
from faultiso.casebook.shape import CASE
from tests.casebook.frame import DARK, LAMP, SMALL, case_of, changed


def test_what_is_written_is_what_is_there() -> None:
    case, model = read_case(SMALL)
    assert (case.name, case.stage, case.seed, case.truth) == ("small", "basic", 3, ("display.dead",))
    assert case.seen[0].reports == {"display_reading": "dashes", "gauge_reading": "1900 psi"}
    assert case.pins == (Pin(Setting("at_pressure"), {"display_reading": "dashes"}),)
    assert case.says["ask_last_user"] == ("Nothing unusual.",)
    assert case.digest == hashlib.sha256(SMALL.read_bytes()).hexdigest()
    assert case.review.author == "model desk" and model.name == "workshop-power-cart"


def test_brackets_may_be_left_out_round_one() -> None:
    case, model = read_case(DARK)
    assert len(case.seen) == len(case.aims) == len(case.hints) == 1
    assert model.name == "lamp"


def test_everything_knows_its_place() -> None:
    case, _ = read_case(SMALL)
    lines = SMALL.read_text("utf-8").splitlines()
    for path, word in (
        (("truth", 0), "display.dead"),
        (("seen", 0, "reports", "gauge_reading"), "1900 psi"),
        (("pins", 0, "shows", "display_reading"), "dashes"),
        (("says", "crew", 0), '"It went from'),
        (("aims", 0, "text"), '"A second instrument'),
    ):
        where = case.place(*path)
        assert lines[where.line - 1][where.column - 1 :].startswith(word)
    assert case.place("truth", 7) == case.place("truth")
    assert case.place("notes").line == 1


def test_a_small_change_is_another_digest() -> None:
    case, _ = case_of(SMALL)
    assert case_of(SMALL, ("seed: 3", "seed: 4"))[0].digest != case.digest


def test_an_own_model_comes_before_a_shipped_one(tmp_path: Path) -> None:
    shutil.copy(LAMP, tmp_path / "workshop-power-cart.yaml")
    loaded = load_case(SMALL, Models((tmp_path,)))
    assert loaded.model is not None and loaded.model.name == "lamp"
    assert loaded.case is None


def test_a_model_with_errors_is_told_once(tmp_path: Path) -> None:
    (tmp_path / "lamp.yaml").write_text("model: lamp\n", "utf-8")
    shutil.copy(DARK, tmp_path / "dark.yaml")
    (problem,) = load_case(tmp_path / "dark.yaml").problems
    assert 'the model "lamp.yaml" has errors' in problem.message


def test_what_cannot_be_read_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(InvalidModel, match="there is no such file"):
        read_case(tmp_path / "none.yaml")
    assert "expected a case file" in load_case(tmp_path).problems[0].message
    (tmp_path / "large.yaml").write_bytes(b"# " + b"x" * 2_100_000)
    assert "larger than 2 MB" in load_case(tmp_path / "large.yaml").problems[0].message
    (tmp_path / "latin.yaml").write_bytes("title: für".encode("latin-1"))
    assert "not UTF-8" in load_case(tmp_path / "latin.yaml").problems[0].message


def test_long_lists_are_refused() -> None:
    loaded = changed(SMALL, ('crew: ["It went from one moment to the next."]', f"crew: [{'a, ' * 41}a]"))
    assert "expected at most 40 here" in loaded.errors[0].message


def test_not_known_may_be_reported() -> None:
    case, _ = case_of(SMALL, ("gauge_reading: 1900 psi", "gauge_reading: nk"))
    assert case.seen[0].reports["gauge_reading"] == "nk"


def test_a_notebook_finds_it() -> None:
    assert faultiso.load_case(SMALL).case is not None
    assert "truth" in CASE.fields
