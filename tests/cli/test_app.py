"""The program as a person or a script meets it: streams, exit codes, the notice, never a traceback."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from faultiso.base.text import width
from faultiso.cli.app import COMMANDS, run

Run = Callable[..., CompletedProcess[bytes]]

VALID = """
model: tug
title: towing tug hydraulics
subject: training_rig
about: a pump, a light
author: A. Nother
conditions:
  motor: {title: motor, values: [stopped, running], start: stopped}
situations:
  running: {title: motor running, set: {motor: running}}
components:
  pump:
    title: drive pump
    replaceable: true
    faults:
      worn: {title: worn, rate: 1e-5, source: invented}
quantities:
  pressure:
    title: pump pressure
    levels: [normal, low]
    rules:
      - {when: {motor: stopped}, then: low}
    causes:
      - {fault: pump.worn, gives: {low: 0.9}}
indications:
  low_pressure_light:
    title: low pressure light
    kind: light
    outcomes: [out, lit]
    rules:
      - {when: {motor: stopped}, then: out}
      - {when: {pressure: low}, then: lit}
      - {then: out}
repairs:
  replace_pump: {title: replace the pump, component: pump, clears: pump, minutes: 60}
"""

WRONG = VALID.replace("{motor: stopped}, then: out", "{moter: stopped}, then: out")


@pytest.fixture
def tug(tmp_path: Path) -> Path:
    file = tmp_path / "tug.yaml"
    file.write_text(VALID, encoding="utf-8")
    return file


@pytest.mark.parametrize("columns", [40, 80, 120])
def test_the_help_fits_the_screen(
    columns: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    assert run(["--help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(width, lines)) <= columns
    assert len(lines) <= 24 or columns < 80
    assert "not approved maintenance data" in " ".join(" ".join(lines).split())
    for command in COMMANDS:
        assert command.example.split()[:2] == ["faultiso", command.name]
        if columns >= 80:  # on one line, so that it can be copied
            assert any(command.example in line and command.summary in line for line in lines)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.name)
def test_every_command_can_be_imported_and_explains_itself(
    command: object, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([command.name, "--help"]) == 0  # type: ignore[attr-defined]
    out = capsys.readouterr().out
    assert f"faultiso {command.name}" in out  # type: ignore[attr-defined]
    assert "not approved maintenance data" in " ".join(out.split())


@pytest.mark.parametrize("words", [["--help"], ["-h"], ["help"], []])
def test_the_help_has_many_doors(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 0
    assert "Commands, by example" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["modle"], "Nearest: model."),
        (["\x1b[31mred"], '"red"'),
        (["--verbose"], 'No option is called "--verbose"'),
        (["help", "modle"], "Nearest: model."),
        (["model", "chek"], "check"),
        (["model", "check"], "FILE"),
        (["model", "check", "--jsno", "x"], "--jsno"),
        (["model", "check", "no-such.yaml"], "no-such.yaml"),
        (["model", "check", "workshop-power-card"], "nearest: workshop-power-cart"),
        (["model", "check", "a\x00b"], "no model file"),
        (["model", "check", ".", "--json", "--watch"], "choose one"),
    ],
)
def test_wrong_use_is_one_sentence_and_2(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in " ".join(err.split()) and "Traceback" not in err and "\x1b" not in err


def test_a_valid_model(tug: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["model", "check", str(tug)]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert out.startswith(
        "towing tug hydraulics (training rig) training aid about a training rig; not approved"
    )
    assert "is valid: 1 condition, 1 component, 1 fault, 1 quantity, 1 indication, 0 checks, 1 repair" in out


def test_a_wrong_model_is_answered_no_with_the_line(tug: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tug.write_text(WRONG, encoding="utf-8")
    assert run(["model", "check", str(tug)]) == 1
    out = capsys.readouterr().out
    assert "moter" in out and "nearest: motor" in " ".join(out.split()) and "^^^^^" in out
    assert run(["model", "check", str(tug), "--json"]) == 1
    document = json.loads(capsys.readouterr().out)
    assert document["valid"] is False
    assert [problem["nearest"] for problem in document["problems"]] == ["motor"]
    assert document["problems"][0]["line"] > 0


def test_a_shipped_model_can_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["model", "check", "workshop-power-cart"]) == 0
    assert "is valid" in " ".join(capsys.readouterr().out.split())


def test_watching_checks_again_after_each_save(
    tug: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    saves = iter([WRONG, "not saved", None, None, VALID + "# done\n"])

    def save(_: float) -> None:
        text = next(saves, "")
        if text == "":
            raise KeyboardInterrupt
        if text == "not saved":
            return
        tug.unlink(missing_ok=True)
        if text is not None:
            tug.write_text(text, encoding="utf-8")

    monkeypatch.setattr("faultiso.cli.watch.sleep", save)
    assert run(["model", "check", str(tug), "--watch"]) == 130
    out = " ".join(capsys.readouterr().out.split())
    assert out.count("is valid") == 2 and out.count("1 error.") == 1


def test_json_is_one_ascii_document(tug: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["model", "check", str(tug), "--json"], ["model", "list", "--json"]):
        assert run(words) == 0
        out, err = capsys.readouterr()
        assert out.isascii() and err == ""
        assert "not approved maintenance data" in json.loads(out)["notice"]


def test_shipped_models_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["model", "list", "--json"]) == 0
    models = json.loads(capsys.readouterr().out)["models"]
    assert models and all(model["valid"] for model in models)
    assert run(["model", "list"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert all(model["name"] in text for model in models)


def test_plain_stands_anywhere(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FAULTISO_PLAIN", "")
    for words in (["--plain", "model", "list"], ["model", "list", "--plain"]):
        assert run(words) == 0
        assert "\n  name: " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (KeyboardInterrupt(), 130, "Stopped."),
        (OSError(28, "No space left on device", "log"), 2, "log: No space left on device."),
        (MemoryError(), 2, "not enough memory"),
        (ZeroDivisionError("secret \x1b[31m"), 2, "fault of the program"),
        (RecursionError(), 2, "FAULTISO_TRACE=1"),
        (UnicodeEncodeError("ascii", "\ud800", 0, 1, "no"), 2, "fault of the program"),
        (BrokenPipeError(), 0, ""),
    ],
)
def test_whatever_happens_there_is_a_sentence_and_a_code(
    error: BaseException,
    code: int,
    said: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fail() -> None:
        raise error

    monkeypatch.setattr("faultiso.cli.app.help_page", fail)
    assert run(["--help"]) == code
    err = capsys.readouterr().err
    assert said in " ".join(err.split()) and "Traceback" not in err and "secret" not in err


def test_the_details_of_our_own_faults_can_be_asked_for(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("faultiso.cli.app.help_page", lambda: 1 / 0)
    monkeypatch.setenv("FAULTISO_TRACE", "1")
    assert run(["--help"]) == 2
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_a_console_that_can_not_show_a_character_shows_a_question_mark(faultiso: Run, tmp_path: Path) -> None:
    file = tmp_path / "tug.yaml"
    file.write_text(VALID.replace("towing tug", "\u4e2d\u00e9 tug"), encoding="utf-8")
    for encoding, shown in (("cp1252", "? \u00e9".replace(" ", "")), ("ascii", "??")):
        done = faultiso("model", "check", str(file), PYTHONIOENCODING=encoding, PYTHONUTF8="0")
        assert done.returncode == 0 and done.stderr == b""
        assert done.stdout.decode(encoding).startswith(f"{shown} tug hydraulics")


def test_the_same_words_whatever_the_terminal_says_it_is(faultiso: Run) -> None:
    usual = faultiso("model", "list").stdout
    assert faultiso("model", "list", TERM="dumb").stdout == usual
    assert faultiso("model", "list", NO_COLOR="1").stdout == usual
    assert b"\x1b" not in usual


@pytest.mark.skipif(os.name == "nt", reason="pipes of a Unix shell")
def test_a_reader_that_goes_away_is_no_error(tmp_path: Path) -> None:
    command = f'"{sys.executable}" -m faultiso --help | true; echo "${{PIPESTATUS[0]}}"'
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    done = subprocess.run(
        ["bash", "-c", command], capture_output=True, env=environment, timeout=60, check=False
    )
    assert done.stdout == b"0\n" and done.stderr == b""


def test_completion_knows_the_commands(faultiso: Run) -> None:
    done = faultiso(_FAULTISO_COMPLETE="complete_bash", COMP_WORDS="faultiso mod", COMP_CWORD="1")
    assert b"model" in done.stdout and done.stderr == b""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "drive pump"),
        (["pump"], "pump: drive pump"),
        (["--normal", "running"], "low pressure light"),
        (["--inhibits"], "low_pressure_light"),
        (["--inhibits", "low_pressure_light"], "low_pressure_light"),
        (["--flow"], "What feeds what"),
        (["--causes"], "pump.worn acts on pressure"),
    ],
)
def test_show(words: list[str], said: str, tug: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["model", "show", str(tug), *words]) == 0
    out = capsys.readouterr().out
    assert said in out and "not approved maintenance data" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--flow", "--causes"], "choose one"),
        (["--inhibits", "--svg", "x.svg"], "no drawing"),
        (["--normal", "runing"], "running"),
        (["pumpe"], "nearest: pump"),
        (["--svg", "no/such/folder/x.svg"], "x.svg"),
    ],
)
def test_what_show_can_not_show(
    words: list[str], said: str, tug: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["model", "show", str(tug), *words]) == 2
    out, err = capsys.readouterr()
    assert out == "" and said in err


@pytest.mark.parametrize("words", [[], ["--flow"], ["--causes"], ["--causes", "pressure"]])
def test_a_drawing_is_written_and_carries_the_notice(
    words: list[str], tug: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "drawing.svg"
    assert run(["model", "show", str(tug), *words, "--svg", str(file)]) == 0
    text = file.read_text(encoding="utf-8")
    assert text.startswith("<svg") and "not approved maintenance data" in text
    assert capsys.readouterr().out == ""


def test_an_invalid_model_can_not_be_shown(tug: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tug.write_text(WRONG, encoding="utf-8")
    assert run(["model", "show", str(tug)]) == 1
    out, err = capsys.readouterr()
    assert out == "" and "moter" in err and f"{tug.name}:" in err


@pytest.mark.parametrize("kind", ["json", "graphml", "dot"])
def test_export_to_stdout_or_to_a_file_is_the_same_text(
    kind: str, tug: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "out"
    assert run(["model", "export", str(tug), "--format", kind]) == 0
    text = capsys.readouterr().out
    assert run(["model", "export", str(tug), "--format", kind, "--out", str(file)]) == 0
    assert file.read_text(encoding="utf-8") == text
    assert "low_pressure_light" in text and "not approved maintenance data" in text
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("kind", ["bif", "xmlbif", "uai"])
def test_export_of_a_network(
    kind: str, tug: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / f"tug.{kind}"
    words = ["model", "export", str(tug), "--format", kind, "--situation", "running", "--out", str(file)]
    assert run(words) == 0
    texts = [part.read_text(encoding="utf-8") for part in tmp_path.iterdir() if part != tug]
    assert any("not approved maintenance data" in text for text in texts)
    assert any("pressure" in text for text in texts)
    assert "Written: " in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--format", "bif"], "--out FILE"),
        (["--format", "biff", "--out", "x"], "nearest: bif"),
        (["--format", "dot", "--graph", "pump"], "causes or flow"),
        (["--format", "bif", "--situation", "runing", "--out", "x"], "running"),
        (["--out", "no/such/folder/x.json"], "x.json"),
    ],
)
def test_what_can_not_be_exported(
    words: list[str], said: str, tug: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["model", "export", str(tug), *words]) == 2
    out, err = capsys.readouterr()
    assert out == "" and said in err and "Traceback" not in err


@pytest.mark.parametrize("words", [["grade"], ["marks", "again"], ["case", "generate"], ["chart"]])
def test_help_names_what_is_taken_and_no_types_of_python(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*words, "--help"]) == 0
    told = capsys.readouterr().out
    assert not re.search(r"<(str|path|list|float|int)|list\[", told)


def test_rank_says_in_which_conditions_readings_were_taken(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["rank", "workshop-power-cart", "--observe", "low_pressure_light=lit"]
    for more, told in (([], True), (["--situation", "at_pressure"], False), (["--set", "mains=on"], False)):
        assert run([*words, *more]) == 0
        err = " ".join(capsys.readouterr().err.split())
        assert ("Taken as seen at the start: parked, mains off." in err) is told
    assert run(["rank", "workshop-power-cart", "--observe", "low_pressure_light=lit@at_pressure"]) == 0
    assert "Taken as seen" not in capsys.readouterr().err
