"""What a command reads is never written over by what it writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.base.notice import full_notice
from faultiso.base.problems import UsageError
from faultiso.cli.app import run
from faultiso.cli.outputs import refuse_overwriting
from tests.learning.shop import RIG


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "rig.yaml").write_text(RIG, encoding="utf-8")
    (tmp_path / "orders.csv").write_text("hours,complaint,found,result\n", encoding="utf-8")
    (tmp_path / "ours.csv").write_text(f"# {full_notice()}\nhours\n", encoding="utf-8")
    (tmp_path / "empty.csv").touch()
    (tmp_path / "class.zip").write_text(f"# {full_notice()}\nhours\n", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    "words",
    [
        ("model", "criticality", "rig.yaml", "--csv", "rig.yaml"),
        ("model", "criticality", "rig.yaml", "--csv=./rig.yaml"),
        ("model", "learn", "rig.yaml", "orders.csv", "--html", "orders.csv"),
        ("model", "learn", "rig.yaml", "orders.csv", "--to", "n.yaml", "--html", "n.yaml"),
        ("model", "criticality", "rig.yaml", "--csv", "s.out", "--html", "s.out"),
        ("model", "export", "rig.yaml", "--format", "fmea", "--out", "sub/../rig.yaml"),
        ("grade", "orders.csv", "--roster", "rig.yaml", "--csv", "rig.yaml"),
        ("model", "criticality", "workshop-power-cart", "--csv", "orders.csv"),  # somebody else's
        ("chart", "workshop-power-cart", "--markdown", "orders.csv"),
        ("model", "schema", "--out", "rig.yaml"),
        ("grade", "class", "--html", "rig.yaml"),
        ("grade", "class", "--csv", "class.zip"),  # though a notice stands in it
    ],
)
def test_it_is_refused_and_nothing_is_written(
    words: tuple[str, ...], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "sub").mkdir()
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    assert run(words) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "name another one to write" in told or "name the same file" in told
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


@pytest.mark.parametrize(
    "words",
    [
        ("model", "criticality", "rig.yaml", "--csv", "new.csv", "--html", "new.html"),
        ("model", "criticality", "workshop-power-cart", "--csv", "ours.csv"),  # written anew, not read
        ("model", "criticality", "workshop-power-cart", "--csv", "empty.csv"),
        ("hand-in", "3", "--to", "."),
        ("rank", "rig.yaml", "--csv"),
        ("rank", "rig.yaml", "--out="),
    ],
)
def test_anything_else_goes(words: tuple[str, ...], folder: Path) -> None:
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    refuse_overwriting(words)  # no UsageError, and nothing is touched by judging
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_a_link_to_what_is_read_is_the_same_file(folder: Path) -> None:
    (folder / "link.yaml").symlink_to(folder / "rig.yaml")
    with pytest.raises(UsageError):
        refuse_overwriting(("model", "criticality", "link.yaml", "--html", "rig.yaml"))
