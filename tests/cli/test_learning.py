"""``faultiso model learn``, ``history``, ``fit`` and ``compare``: screens, files, exit codes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from faultiso.cli.app import run
from faultiso.language.load import load
from tests.learning.shop import RIG, rig_file

Capture = pytest.CaptureFixture[str]
Golden = Callable[[str, str], None]


@pytest.fixture(autouse=True)
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> Path:
    """A folder with a rig and two histories drawn from it, in which the program runs."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    rig_file(tmp_path)
    for name, seed in (("orders", "1"), ("later", "2")):
        told(capsys, "history", "rig.yaml", "--rows", "120", "--seed", seed, "--out", f"{name}.csv")
    return tmp_path


def told(capsys: Capture, *words: str, code: int = 0) -> tuple[str, str]:
    found = run(["model", *words])
    out, err = capsys.readouterr()
    assert found == code, err
    return out, err


@pytest.mark.parametrize("width", ["80", "40"])
def test_screens(width: str, capsys: Capture, golden: Golden, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", width)
    text = Path("orders.csv").read_text("utf-8") + "121,abc,,,gauge=low,,,,\r\n122,7,,,gage=low,,,pump,\r\n"
    Path("orders.csv").write_text(text + "123,10,,,gauge=low,,port=low,pump,\r\n", "utf-8")
    out, _ = told(capsys, "learn", "rig.yaml", "orders.csv", "--to", "new.yaml")
    golden(f"learn-{width}.txt", out)
    out, _ = told(capsys, "fit", "rig.yaml", "--history", "later.csv")
    golden(f"fit-{width}.txt", out)
    out, _ = told(capsys, "compare", "rig.yaml", "new.yaml", "--history", "later.csv")
    golden(f"compare-{width}.txt", out)


def test_a_new_file_and_never_another(capsys: Capture, bench: Path) -> None:
    told(capsys, "learn", "rig.yaml", "orders.csv", "--to", "new.yaml")
    assert (bench / "rig.yaml").read_text("utf-8") == RIG
    new = (bench / "new.yaml").read_text("utf-8")
    assert new != RIG and len(new.split("\n")) == len(RIG.split("\n"))
    assert load(bench / "new.yaml", lint=False).model is not None
    _, err = told(capsys, "learn", "rig.yaml", "orders.csv", "--to", "new.yaml", code=2)
    assert "already" in err and (bench / "new.yaml").read_text("utf-8") == new
    _, err = told(capsys, "history", "rig.yaml", "--out", "orders.csv", code=2)
    assert "already" in err


def test_what_a_model_includes_is_written_beside_it_and_never_over_anything(
    capsys: Capture, bench: Path
) -> None:
    main, part = RIG.split("quantities:")
    (bench / "parts.yaml").write_text(
        main.replace("model: small-rig\n", "model: small-rig\ninclude: rest.yaml\n")
    )
    (bench / "rest.yaml").write_text("quantities:" + part)
    _, err = told(capsys, "learn", "parts.yaml", "orders.csv", "--to", "new.yaml", code=2)
    assert "rest.yaml: what the model includes" in err and not (bench / "new.yaml").exists()
    (bench / "new").mkdir()
    out, _ = told(capsys, "learn", "parts.yaml", "orders.csv", "--to", "new/parts.yaml")
    assert "what it includes: rest.yaml" in out and "rest.yaml:" in out
    loaded = load(bench / "new" / "parts.yaml", lint=False)
    assert loaded.model is not None
    assert (bench / "new" / "rest.yaml").read_text("utf-8") != (bench / "rest.yaml").read_text("utf-8")
    assert (bench / "rest.yaml").read_text("utf-8") == "quantities:" + part


def test_one_document(capsys: Capture) -> None:
    data = json.loads(told(capsys, "learn", "rig.yaml", "orders.csv", "--json", "--to", "new.yaml")[0])
    assert data["history"]["used"] == data["rows"] == 120
    by_name = {figure["name"]: figure for figure in data["figures"]}
    worn = by_name["pump.worn rate"]
    assert worn["interval"][0] < worn["after"] < worn["interval"][1]
    changed = {change["figure"] for change in data["written"]["changes"]}
    assert "pump.worn rate" in changed and data["written"]["file"] == "new.yaml"
    data = json.loads(told(capsys, "fit", "rig.yaml", "--history", "later.csv", "--json")[0])
    assert data["rows"] == 120 and 0 < data["first"] <= data["first_three"] <= 1
    data = json.loads(told(capsys, "compare", "rig.yaml", "new.yaml", "--history", "later.csv", "--json")[0])
    assert data["log_likelihood"]["interval"][0] <= data["log_likelihood"]["mean"]


def test_pages(capsys: Capture, bench: Path) -> None:
    told(capsys, "learn", "rig.yaml", "orders.csv", "--html", "learnt.html")
    told(capsys, "fit", "rig.yaml", "--history", "later.csv", "--html", "fit.html")
    assert "<svg" in (bench / "learnt.html").read_text("utf-8")
    assert "Stated chances against what was found" in (bench / "fit.html").read_text("utf-8")


def test_priors_say_how_much_the_model_counts(capsys: Capture) -> None:
    def after(*words: str) -> dict[str, float]:
        data = json.loads(told(capsys, "learn", "rig.yaml", "orders.csv", "--json", *words)[0])
        return {figure["name"]: figure["after"] / figure["before"] for figure in data["figures"]}

    plain, sure = after(), after("--factor", "1.05", "--prior-rows", "100000")
    for name, times in sure.items():
        assert abs(times - 1) < 0.1 and abs(times - 1) <= abs(plain[name] - 1) + 1e-3


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("learn", "rig.yaml", "none.csv"), 2, "cannot be read"),
        (("learn", "rig.yaml", "rig.yaml"), 1, 'no column is called "hours"'),
        (("learn", "rig.yaml", "orders.csv", "--factor", "1"), 2, "--factor is a number from 1.01"),
        (("history", "rig.yaml", "--bias", "sever"), 2, "nearest: severe"),
        (("history", "rig.yaml", "--bias", "severe=2"), 2, "--bias is a number from 0 to 1"),
        (("history", "rig.yaml", "--rows", "many"), 2, "--rows is a whole number"),
        (("history", "rig.yaml", "--truth", "mine"), 2, "--truth is prior, model"),
        (("history", "rig.yaml", "--truth", "none.json"), 2, "cannot be read"),
        (("history", "workshop-power-cart", "--truth", "orders.truth.json"), 2, "another model"),
        (("learn", "rig.yaml", "orders.csv", "--unmentioned", "wet"), 2, "unknown or normal"),
        (("fit", "rig.yaml"), 2, "one of them"),
        (("fit", "rig.yaml", "--cases", "."), 2, "no case of this folder"),
    ],
)
def test_slips(words: tuple[str, ...], code: int, said: str, capsys: Capture) -> None:
    _, err = told(capsys, *words, code=code)
    assert said in " ".join(err.split())


def test_a_history_about_another_model_says_why_nothing_is_used(capsys: Capture) -> None:
    _, err = told(capsys, "learn", "workshop-power-cart", "orders.csv", code=1)
    assert "orders.csv:" in err and "no indication or check is called 'gauge'" in err


def test_biases_and_seed_are_told_beside_the_history(capsys: Capture, bench: Path) -> None:
    words = ("--bias", "popular=0.4", "--bias", "unmentioned", "--truth", "model", "--rows", "30")
    told(capsys, "history", "rig.yaml", *words, "--out", "biased.csv")
    truth = json.loads((bench / "biased.truth.json").read_text("utf-8"))
    assert [(bias["name"], bias["share"]) for bias in truth["biases"]] == [
        ("popular", 0.4),
        ("unmentioned", 1.0),
    ]
    assert truth["figures"]["pump.worn rate"] == 0.001
    told(capsys, "history", "rig.yaml", "--rows", "9", "--truth", "orders.truth.json", "--out", "more.csv")
    both = [json.loads((bench / f"{name}.truth.json").read_text("utf-8")) for name in ("orders", "more")]
    assert both[0]["figures"] == both[1]["figures"]
    out, _ = told(capsys, "learn", "rig.yaml", "biased.csv")
    assert "do not say how the other indications were" in " ".join(out.split())
    out, _ = told(capsys, "learn", "rig.yaml", "biased.csv", "--unmentioned", "normal")
    assert "how the other indications were" not in " ".join(out.split())
