"""``faultiso model from-fmea``, ``from-matrix`` and the tables that export writes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from faultiso.cli.app import run
from faultiso.language.load import load

Capture = pytest.CaptureFixture[str]
CART = "workshop-power-cart"
FMEA = """System,Shop lift
Identification number,Item,Failure modes,Detection method,Compensating provisions,Severity class,\
Failure mode ratio,Failure rate (per million hours)
1.1,pump,worn,pressure gauge: low; low-pressure light,spare pump,II,0.6,20
1.2,,shaft sheared,pressure gauge: none,,II,0.4,
2.1,hose,chafed,puddle under the lift,,III,1,3
3.1,sight glass,cracked,none,,IV,1,1
"""
MATRIX = (
    "fault,probability,sight glass,gauge,horn\nminutes,,4,17,1\nworn pump,0.7,0,1,0\nlow level,0.3,1,0.95,0\n"
)


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("lift.csv").write_text(FMEA, "utf-8")
    Path("matrix.csv").write_text(MATRIX, "utf-8")
    return tmp_path


def told(capsys: Capture, *words: str, code: int = 0) -> tuple[str, str]:
    assert run(["model", *words]) == code
    return capsys.readouterr()


@pytest.mark.parametrize("columns", [80, 40])
def test_a_failure_modes_table(
    capsys: Capture, golden: Callable[[str, str], None], monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    out, err = told(capsys, "from-fmea", "lift.csv", "--to", "lift.yaml")
    golden(f"model-from-fmea-{columns}.txt", f"{out}\n{err}")
    assert all(len(line) <= columns for line in out.splitlines())
    golden("model-from-fmea.yaml", Path("lift.yaml").read_text("utf-8"))
    loaded = load("lift.yaml")
    assert loaded.problems == () and Path("lift.schema.json").exists()


def test_as_json(capsys: Capture) -> None:
    data = json.loads(told(capsys, "from-fmea", "lift.csv", "--to", "lift.yaml", "--json")[0])
    assert data["valid"] and data["counts"]["fault"] == 4 and len(data["told"]) == 2
    data = json.loads(told(capsys, "from-matrix", "matrix.csv", "--to", "m.yaml", "--json")[0])
    assert data["told"] == ['the check "horn" shows no fault: left out'] and data["counts"]["check"] == 2


def test_what_is_wrong_with_a_table_is_told_and_nothing_is_written(capsys: Capture) -> None:
    Path("lift.csv").write_text(FMEA.replace("0.6,20", "0,6;x,20").replace(",IV,", ",worst,"), "utf-8")
    out, err = told(capsys, "from-fmea", "lift.csv", "--to", "lift.yaml", code=1)
    assert not out and not Path("lift.yaml").exists() and not Path("lift.schema.json").exists()
    said = " ".join(err.split())
    assert "lift.csv:3:75" in said and "lift.csv:6:" in said and "severity class; expected I to IV" in said


def test_what_is_too_large_for_a_model_is_not_written(capsys: Capture) -> None:
    rows = "".join(f"unit {n},mode {n},test {n},1e-6\n" for n in range(6_000))
    Path("lift.csv").write_text(f"item,mode,detection,rate\n{rows}", "utf-8")
    out, err = told(capsys, "from-fmea", "lift.csv", "--to", "lift.yaml", code=1)
    assert (
        not out
        and not Path("lift.yaml").exists()
        and "lift.yaml: the file is larger than 2 MB" in " ".join(err.split())
    )


def test_options(capsys: Capture) -> None:
    Path("a.csv").write_text("item;mode;ratio;rate\na;b;0,25;1,5\na;c;0,75;\nd;e;;\n", "utf-8")
    words = ("--decimal", "comma", "--rates-per", "1e6", "--rate", "2e-6")
    told(capsys, "from-fmea", "a.csv", "--to", "a.yaml", *words)
    model = load("a.yaml").model
    assert model is not None
    rates = [fault.rate for fault in model.faults.values()]
    assert rates == pytest.approx([0.375e-6, 1.125e-6, 2e-6])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("from-fmea", "lift.csv", "--to", "lift.csv"), "that file is read here"),
        (("from-fmea", "lift.csv", "--to", "other.csv"), "ends in .yaml"),
        (("from-fmea", "none.csv", "--to", "a.yaml"), "cannot be read"),
        (("from-fmea", "lift.csv", "--to", "a.yaml", "--decimal", "dot"), "--decimal is point or comma"),
        (("from-fmea", "lift.csv", "--to", "a.yaml", "--rate", "many"), "--rate is a number"),
        (("from-matrix", "none.csv", "--to", "a.yaml"), "cannot be read"),
    ],
)
def test_wrong_words(capsys: Capture, words: tuple[str, ...], said: str) -> None:
    out, err = told(capsys, *words, code=2)
    assert not out and said in " ".join(err.split()) and "Traceback" not in err
    assert not Path("a.yaml").exists()


def test_a_matrix_that_was_exported_comes_back(capsys: Capture) -> None:
    told(capsys, "export", CART, "--format", "matrix", "--out", "cart.csv")
    told(capsys, "from-matrix", "cart.csv", "--to", "cart.yaml")
    loaded = load("cart.yaml")
    assert loaded.errors == () and loaded.model is not None and len(loaded.model.faults) == 33


def test_a_table_that_was_exported_comes_back(capsys: Capture) -> None:
    told(capsys, "export", CART, "--format", "fmea", "--out", "cart.csv")
    text = Path("cart.csv").read_text("utf-8-sig")
    assert text.startswith('"# Training aid') and text.count("\n") == 35
    told(capsys, "from-fmea", "cart.csv", "--to", "cart.yaml")
    loaded = load("cart.yaml")
    assert loaded.errors == () and loaded.model is not None
    again = told(capsys, "export", "cart.yaml", "--format", "fmea")[0]
    rows = [line.split('","')[:4] for line in again.splitlines()[2:]]
    assert rows == [line.split('","')[:4] for line in text.splitlines()[2:]]
