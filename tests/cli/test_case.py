"""``faultiso case``: what is told, what stays hidden, and the exit codes."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from faultiso.casebook.case import KINDS
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.cli.app import run
from tests.casebook.frame import DARK, HERE, LAMP, SMALL

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def out_of(capsys: Capture, *words: str, code: int = 0) -> str:
    assert run(["case", *words]) == code
    return capsys.readouterr().out


@pytest.mark.parametrize("option", [(), ("--json",)])
def test_the_list_gives_nothing_away(capsys: Capture, option: tuple[str, ...]) -> None:
    text = out_of(capsys, "list", *option)
    assert "first-light" in text and "Caution stays on" in text
    assert not [kind for kind in KINDS if kind in text]


@pytest.mark.parametrize("option", [(), ("--json",)])
def test_what_is_hidden_is_shown_on_request_only(capsys: Capture, option: tuple[str, ...]) -> None:
    case, _ = read_case(SMALL)
    hidden = [
        "display.dead",
        "pressure display: dead",
        "false indication",
        *case.hints,
        case.good_solution,
        "rectified",
        *(aim.text for aim in case.aims),
        *(aim.name for aim in case.aims),
    ]
    text = " ".join(out_of(capsys, "show", str(SMALL), *option).split())
    assert case.write_up in text.replace('\\"', '"')
    assert not [words for words in hidden if words in text]
    assert any(words in out_of(capsys, "show", str(SMALL), "--truth", *option) for words in hidden[:2])


@pytest.mark.parametrize("option", [(), ("--json",)])
def test_what_a_case_teaches_is_told_to_instructors_only(capsys: Capture, option: tuple[str, ...]) -> None:
    """ "Two ordinary faults can look like one rare one" says what to look for."""
    for name, hint in (("dark-side", "look like one rare one"), ("dashes-at-dawn", "as they should be")):
        told, all_of_it = (
            " ".join(out_of(capsys, "show", name, *truth, *option).split()) for truth in ((), ("--truth",))
        )
        assert hint in all_of_it and hint not in told + out_of(capsys, "list", *option)


def test_what_no_file_states_is_not_computed_for_the_list(capsys: Capture, own_home: Path) -> None:
    (own_home / "cases").mkdir(parents=True)
    text = SMALL.read_text("utf-8")
    assert "difficulty:" not in text
    (own_home / "cases" / "small.yaml").write_text(text, "utf-8")
    assert "not stated: faultiso case check" in " ".join(out_of(capsys, "list").split())
    cases = {case["name"]: case for case in json.loads(out_of(capsys, "list", "--json"))["cases"]}
    assert cases["small"]["difficulty"] is None
    assert cases["first-light"]["difficulty"] == read_case(case_files()["first-light"])[0].difficulty


def test_nothing_wrong_is_told_in_a_sentence(capsys: Capture) -> None:
    text = " ".join(out_of(capsys, "check", "dashes-at-dawn").split())
    assert "nothing is wrong " in text and "not to be told" not in text and "nothing modelled" not in text


def test_everything_is_there_for_the_instructor(capsys: Capture) -> None:
    text = " ".join(out_of(capsys, "show", str(SMALL), "--truth").split())
    for words in (
        "pressure display: dead",
        "right end rectified",
        "seed 3",
        "What do they share",
        "Nothing unusual.",
    ):
        assert words in text


def test_own_cases_and_own_models(capsys: Capture, own_home: Path) -> None:
    for folder, file in (("cases", DARK), ("models", LAMP)):
        (own_home / folder).mkdir(parents=True)
        shutil.copy(file, own_home / folder)
    text = DARK.read_text("utf-8").replace("model: lamp.yaml", "model: lamp")
    (own_home / "cases" / "dark.yaml").write_text(text, "utf-8")
    assert "bench lamp" in out_of(capsys, "list")
    assert "The lamp is dark." in out_of(capsys, "show", "dark")
    (own_home / "cases" / "dark.yaml").write_text("case: dark", "utf-8")
    assert "not valid" in out_of(capsys, "list")


def test_a_right_case_and_a_wrong_one(capsys: Capture, tmp_path: Path) -> None:
    assert "is valid." in " ".join(out_of(capsys, "check", str(SMALL)).split())
    assert "1 error." in out_of(capsys, "check", str(HERE / "bad" / "unknown-fault.yaml"), code=1)
    data = json.loads(out_of(capsys, "check", str(DARK), "--json"))
    findings = data["cases"][0]["findings"]
    assert findings["complaint_given_truth"] == pytest.approx(0.99)
    assert findings["repairs"] == ["replace_wire"] and data["cases"][0]["valid"] is True


def test_a_folder_is_judged_file_by_file(capsys: Capture, tmp_path: Path) -> None:
    shutil.copy(SMALL, tmp_path)
    shutil.copy(HERE / "bad" / "unknown-fault.yaml", tmp_path)
    assert "2 cases: 1 valid, 1 not." in out_of(capsys, "check", str(tmp_path), code=1)
    (tmp_path / "unknown-fault.yaml").unlink()
    assert "is valid." in " ".join(out_of(capsys, "check", str(tmp_path)).split())


def test_wrong_use(capsys: Capture, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for words in (
        ["check", str(tmp_path / "empty")],
        ["check", "no-such-case"],
        ["show", "no-such-case"],
        ["chek"],
    ):
        assert run(["case", *words]) == 2
        out, err = capsys.readouterr()
        assert not out and err and "Traceback" not in err
    assert run(["case", "show", str(HERE / "bad" / "unknown-fault.yaml")]) == 1
    assert "nearest: display.dead" in " ".join(capsys.readouterr().err.split())


def test_a_narrow_screen(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    for words in (("show", "first-light", "--truth"), ("check", "dark-side"), ("list",)):
        lines = out_of(capsys, *words).splitlines()
        assert all(len(line) <= 40 for line in lines if "/" not in line)
