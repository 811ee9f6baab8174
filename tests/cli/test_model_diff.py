"""``faultiso model diff`` and ``model review``: screens, documents, pages."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from faultiso.cli.app import run
from faultiso.language.shipped import find_model

Capture = pytest.CaptureFixture[str]
CART = "workshop-power-cart"
CHANGES = (
    ("fan motor failed, rate: 9e-6", "fan motor failed, rate: 9e-9"),
    ("title: piston pump", "title: axial pump"),
    ("relief_valve", "relief"),
    ("gives: {metal: 0.85}", "gives: {metal: 0.6}"),
    ("      - {when: {unload_lever: unloaded}, then: warm}\n", ""),
)


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    text = find_model(CART).read_text("utf-8")
    Path("old.yaml").write_text(text, "utf-8")
    for old, new in CHANGES:
        assert old in text
        text = text.replace(old, new)
    Path("new.yaml").write_text(text, "utf-8")
    return tmp_path


def told(capsys: Capture, *words: str, code: int = 0) -> tuple[str, str]:
    assert run(["model", *words]) == code
    return capsys.readouterr()


@pytest.mark.parametrize("columns", [80, 40])
def test_the_screen_of_a_difference(
    capsys: Capture, golden: Callable[[str, str], None], monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    out, _ = told(capsys, "diff", "old.yaml", "new.yaml")
    golden(f"model-diff-{columns}.txt", out)
    assert all(len(line) <= columns for line in out.splitlines())


def test_the_document_and_the_page_of_a_difference(capsys: Capture) -> None:
    out, err = told(capsys, "diff", "old.yaml", "new.yaml", "--json", "--html", "diff.html")
    data = json.loads(out)
    assert {(part["name"], part["new_name"]) for part in data["renamed"]} == {
        ("relief_valve", "relief"),
        ("relief_valve.leaking", "relief.leaking"),
        ("replace_relief_valve", "replace_relief"),
    }
    assert {figure["name"]: round(figure["ratio"], 3) for figure in data["figures"]} == {
        "fan.failed": 0.001,
        "particles": 0.706,
    }
    assert [each["case"] for each in data["moved"]] == ["hot-cart"] and data["cases"] >= 6
    page = Path("diff.html").read_text("utf-8")
    assert "Written: diff.html" in err and "hot-cart" in page and "fan.failed" in page


def test_the_same_model(capsys: Capture) -> None:
    out, _ = told(capsys, "diff", CART, "old.yaml")
    assert "Both models say the same." in out and "0 moved" in out


def test_cases_of_a_folder(capsys: Capture, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    case = (Path(__file__).parent.parent.parent / "cases" / "hot-cart.yaml").read_text("utf-8")
    (tmp_path / "mine" / "hot-cart.yaml").write_text(
        case.replace(f"model: {CART}", "model: anything"), "utf-8"
    )
    data = json.loads(told(capsys, "diff", "old.yaml", "new.yaml", "--cases", "mine", "--json")[0])
    assert data["cases"] == 1 and data["moved"][0]["case"] == "hot-cart"
    out, err = told(capsys, "diff", "old.yaml", "new.yaml", "--cases", "no-such", code=2)
    assert not out and "no case in this folder" in " ".join(err.split())


@pytest.mark.parametrize("command", ["diff", "review"])
def test_wrong_words(capsys: Capture, command: str) -> None:
    Path("wrong.yaml").write_text("model: a\ntitel: b\n", "utf-8")
    more = ("old.yaml",) if command == "diff" else ()
    out, err = told(capsys, command, *more, "wrong.yaml", code=1)
    assert not out and "titel" in err
    out, err = told(capsys, command, *more, "no-such-model", code=2)
    assert not out and "no-such-model" in err and "Traceback" not in err


TUG = """model: tug
title: tug
subject: training_rig
author: A. Nother
conditions: {motor: {values: [stopped, running]}}
situations: {at_work: {set: {motor: running}}}
components:
  pump:
    about: gives pressure
    replaceable: yes
    faults:
      worn: {rate: 1e-5, source: invented}
      lost: {rate: 1e-6}
quantities:
  pressure:
    levels: [normal, low]
    rules:
      - {when: {motor: stopped}, then: low}
      - {when: {motor: stopped, pump.worn: present}, then: normal}
    causes:
      - {fault: pump.worn, gives: {low: 0.9}}
indications:
  gauge: {kind: gauge, reads: pressure}
repairs:
  replace_pump: {clears: pump, minutes: 60}
"""


@pytest.mark.parametrize("columns", [80, 40])
def test_the_screen_of_a_review(
    capsys: Capture, golden: Callable[[str, str], None], monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    Path("tug.yaml").write_text(TUG, "utf-8")
    out, _ = told(capsys, "review", "tug.yaml")
    golden(f"model-review-{columns}.txt", out)
    assert all(len(line) <= columns for line in out.splitlines())


def test_the_document_and_the_page_of_a_review(capsys: Capture) -> None:
    out, err = told(capsys, "review", CART, "--json", "--html", "review.html")
    data = json.loads(out)
    assert (data["author"], data["reviewer"], data["state"]) == ("model desk", "second bench", "draft")
    assert data["cases"] >= 6
    points = {question["name"]: question["points"] for question in data["questions"]}
    assert any("emergency_button pressed" in point["text"] for point in points["unreached"])
    assert all(point["line"] > 0 for found in points.values() for point in found)
    page = Path("review.html").read_text("utf-8")
    assert "Written: review.html" in err
    assert page.count("[ ]") == 4 + sum(len(found) for found in points.values())
