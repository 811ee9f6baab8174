"""The commands that judge a model: what is typed wrong is said, files are written, progress stays off stdout."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from faultiso.cli.app import run

CART = "workshop-power-cart"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("testability no-such-model", 2, "no-such-model"),
        (f"testability {CART} --least 2", 2, "--least is a number from 0.001 to 1, not '2'"),
        (f"testability {CART} --least 0", 2, "--least is a number"),
        (f"testability {CART} --seconds soon", 2, "--seconds is a number from 0 to 36000, not 'soon'"),
        ("testability WRONG", 1, 'takes no "qantities"; nearest: quantities'),
        ("model criticality WRONG", 1, 'takes no "qantities"; nearest: quantities'),
        (f"model criticality {CART} --hours 0", 2, "--hours is a number"),
        (f"model criticality {CART} --hours nan", 2, "--hours is a number"),
        (f"model sensitivity {CART} --observe", 2, "--observe"),
        (f"model sensitivity {CART} --observe lamp", 2, "expected --observe NAME=OUTCOME"),
        (f"model sensitivity {CART} --observe no_lamp=lit", 2, "no_lamp"),
        (f"model sensitivity {CART} --observe low_pressure_light=blue", 2, "blue"),
        (f"model sensitivity {CART} --situation in_use", 2, "add --observe NAME=OUTCOME"),
        (f"model sensitivity {CART} --factor 1", 2, "--factor is a number from 1.01 to 1000, not '1'"),
        ("model sensitivity BARE", 2, "say what was read with --observe"),
    ],
)
def test_what_is_typed_wrong_is_said(
    words: str, code: int, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "WRONG.yaml").write_text("model: wrong\nqantities: {}\n", encoding="utf-8")
    (tmp_path / "BARE.yaml").write_text(
        "model: bare\ntitle: bare\nsubject: generic\ncomponents: {box: {title: box}}\n", encoding="utf-8"
    )
    line = words.replace("WRONG", str(tmp_path / "WRONG.yaml")).replace("BARE", str(tmp_path / "BARE.yaml"))
    assert run(line.split()) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert said in " ".join(err.split())
    assert "inside faultiso" not in err


def test_files_are_written_whole_and_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page, rows = tmp_path / "page.html", tmp_path / "rows.csv"
    assert run(["model", "criticality", CART, "--html", str(page), "--csv", str(rows), "--json"]) == 0
    out, err = capsys.readouterr()
    assert len(json.loads(out)["faults"]) == 33
    assert err.splitlines() == [f"Written: {rows}", f"Written: {page}"]
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert run(["model", "criticality", CART, "--html", str(tmp_path / "none" / "page.html")]) == 2
    assert "none" in capsys.readouterr().err


def test_without_readings_the_commonest_write_up_is_taken(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["model", "sensitivity", CART, "--seconds", "0", "--json"]) == 0
    out, err = capsys.readouterr()
    assert "commonest write-up" in err
    found = json.loads(out)
    assert found["readings"] == [
        "gauge_reading = sagging (long_run)",
        "display_reading = sagging (long_run)",
        "cylinder = slow (long_run)",
    ]
    assert found["numbers"] == [] and "rate of pump.worn" in found["not_judged"]
