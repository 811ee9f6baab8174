"""``faultiso model new``: questions, what is written, and that it can be worked with."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from faultiso.cli.app import run
from faultiso.language.load import load
from tests.language.test_schema import as_json
from tests.test_readme import BLOCKS

Capture = pytest.CaptureFixture[str]
RIG = "Towing tug hydraulics\n\ndrive pump\nlow pressure light\nmotor stopped\n"


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"")))
    return tmp_path


def told(capsys: Capture, *words: str, code: int = 0) -> tuple[str, str]:
    assert run(words) == code
    return capsys.readouterr()


def new(capsys: Capture, answers: str, file: str = "tug.yaml", code: int = 0) -> tuple[str, str]:
    Path("answers.txt").write_text(answers, "utf-8")
    return told(capsys, "model", "new", file, "--answers", "answers.txt", code=code)


def test_the_questions_and_what_is_written(capsys: Capture, golden: Callable[[str, str], None]) -> None:
    out, err = new(capsys, RIG)
    golden("model-new.txt", f"{err}\n{out}")
    golden("model-new.yaml", Path("tug.yaml").read_text("utf-8"))
    assert load("tug.yaml").problems == ()


def test_the_schema_beside_it_is_the_one_that_its_first_line_names(capsys: Capture) -> None:
    new(capsys, RIG, "My Rüg.yaml")
    text = Path("My Rüg.yaml").read_text("utf-8")
    prefix = "# yaml-language-server: $schema="
    assert text.startswith(prefix)
    name = text.partition("\n")[0].removeprefix(prefix)
    assert name == "my-rug.schema.json"
    validator = Draft202012Validator(json.loads(Path(name).read_text("ascii")))
    assert not list(validator.iter_errors(as_json(yaml.load(text, yaml.CSafeLoader))))
    wrong = text.replace("kind: light", "kind: lihgt")
    assert list(validator.iter_errors(as_json(yaml.load(wrong, yaml.CSafeLoader))))


def test_the_recipe_of_the_readme(capsys: Capture) -> None:
    """Each model in it that names a schema fits the schema that its command writes under that name."""
    told(capsys, "model", "schema", "--out", "tug.schema.json")
    validator = Draft202012Validator(json.loads(Path("tug.schema.json").read_text("ascii")))
    models = [block.body for block in BLOCKS if block.marker.startswith("file ") and "$schema=" in block.body]
    assert models and all(
        text.startswith("# yaml-language-server: $schema=tug.schema.json\n") for text in models
    )
    for text in models:
        assert not list(validator.iter_errors(as_json(yaml.load(text, yaml.CSafeLoader))))


@pytest.mark.parametrize("dark", ["motor stopped", ""])
def test_it_can_be_worked_with(capsys: Capture, dark: str) -> None:
    new(capsys, RIG.replace("motor stopped", dark))
    situation = ("--situation", "at_work") if dark else ()
    out, _ = told(capsys, "rank", "tug.yaml", *situation, "--observe", "low_pressure_light=lit", "--json")
    assert json.loads(out)["faults"][0]["name"] == "drive_pump.worn"
    Path("quit.txt").write_text("quit\n", "utf-8")
    told(capsys, "isolate", "tug.yaml", "--answers", "quit.txt")
    told(capsys, "case", "generate", "tug.yaml", "--out", "drawn")
    (case,) = Path("drawn").glob("*.yaml")
    Path("refer.txt").write_text("refer\n", "utf-8")
    told(capsys, "practice", str(case), "--answers", "refer.txt")


def test_enter_takes_what_is_proposed(capsys: Capture) -> None:
    _, err = new(capsys, "\n" * 5, "left_wing-pump.yaml")
    model = load("left_wing-pump.yaml").model
    assert model is not None and model.title == "left wing pump" and not model.conditions
    assert "(Enter: left wing pump)" in err


@pytest.mark.parametrize(("answers", "code"), [("Tug\nquit\n", 0), ("Tug\n2\nmotor\n", 2)])
def test_who_stops_early_has_a_valid_start(capsys: Capture, answers: str, code: int) -> None:
    _, err = new(capsys, answers, code=code)
    loaded = load("tug.yaml")
    assert loaded.problems == () and loaded.model is not None and loaded.model.title == "Tug"
    assert code == 0 or "ran out at an open question: A light or gauge that tells about it?" in err


def test_nothing_answered_nothing_written(capsys: Capture) -> None:
    new(capsys, "", code=2)
    assert not Path("tug.yaml").exists() and not Path("tug.schema.json").exists()


def test_slips_cost_a_sentence(capsys: Capture) -> None:
    slips = "x" * 81 + "\nTug\n7\n1\nfeel along the hot line\npump\nlamp\n\n"
    _, err = new(capsys, slips)
    said = " ".join(err.split())
    assert "At most 80 characters" in said and "The list has the numbers 1 to 3" in said
    assert "asks for a hand" in said
    assert load("tug.yaml").problems == ()


def test_never_over_anything(capsys: Capture) -> None:
    for file, said in (
        ("there.yaml", "nothing is written over it"),
        ("tug.yml", "ends in .yaml"),
        ("no/where/tug.yaml", "there is no folder"),
        ("nul\0.yaml", "not a name"),
    ):
        Path("there.yaml").write_text("mine", "utf-8")
        out, err = new(capsys, RIG, file, code=2)
        assert not out and said in " ".join(err.split()) and "Traceback" not in err
    assert Path("there.yaml").read_text("utf-8") == "mine"
    Path("tug.schema.json").write_text("mine", "utf-8")
    new(capsys, RIG)
    assert Path("tug.schema.json").read_text("utf-8") == "mine"


def test_narrow_screens(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    out, err = new(capsys, RIG)
    asked = [line for line in err.splitlines() if " > " not in line]
    assert [line for line in [*out.splitlines(), *asked] if len(line) > 40] == []
