"""Whatever faultiso puts out says that it is a training aid: every command, every kind of output.

A new command, or a new option that makes another kind of output, fails here until it has an entry.
"""

from __future__ import annotations

import inspect
import io
import json
import sys
import zipfile
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest
import typer

from faultiso.base.notice import PRINTED, full_notice, short_notice
from faultiso.casebook.library import find_case
from faultiso.casebook.models import Models
from faultiso.casebook.packs.header import About
from faultiso.casebook.packs.key import Cost, key_of
from faultiso.casebook.packs.sealing import seal
from faultiso.cli.app import COMMANDS, run
from faultiso.session.home import Home
from tests.assessment.class_of import worked

CART = "workshop-power-cart"
SAYS_SO = "not approved maintenance data"
REPORTED = ("--observe", "fluid_under_cart=below_pump")

#: options that make another kind of output
OUTPUTS = {"json", "svg", "html", "markdown", "csv", "out"}

#: command -> word lists; OUT stands for a file that is written, SESSION for a session that was left
ENTRIES: dict[str, tuple[str, ...]] = {
    "isolate": (f"isolate {CART} --answers ANSWERS", f"isolate {CART} --answers ANSWERS --json"),
    "resume": ("resume SESSION --answers ANSWERS", "resume SESSION --answers ANSWERS --json"),
    "practice": (
        "practice hot-cart --mode classroom --answers REFERRED",
        "practice hot-cart --mode classroom --answers REFERRED --json",
        "practice hot-cart --mode examination --answers REFERRED",
        "practice hot-cart --mode examination --answers REFERRED --json",
        "practice hot-cart --answers ANSWERS",
    ),
    "rank": (
        f"rank {CART} --observe fluid_under_cart=below_pump",
        f"rank {CART} --observe fluid_under_cart=below_pump --json",
        "rank NETWORK --roles ROLES",
        "rank NETWORK --roles ROLES --json",
    ),
    "chart": (
        f"chart {CART} --observe fluid_under_cart=below_pump --seconds 0.5",
        f"chart {CART} --observe fluid_under_cart=below_pump --seconds 0.5 --json",
        *(
            f"chart {CART} --observe fluid_under_cart=below_pump --seconds 0.5 --{kind} OUT.{kind}"
            for kind in ("svg", "html", "markdown")
        ),
        "chart MATRIX --seconds 0.5",
        "chart MATRIX --seconds 0.5 --json",
    ),
    "model check": (
        f"model check {CART}",
        f"model check {CART} --json",
        "model check WRONG",
        "model check WRONG --json",
    ),
    "model list": ("model list", "model list --json"),
    "model show": (
        f"model show {CART}",
        f"model show {CART} pump_pressure",
        f"model show {CART} --normal in_use",
        f"model show {CART} --inhibits",
        f"model show {CART} --flow --svg OUT.svg",
        f"model show {CART} --causes --svg OUT.svg",
    ),
    "model learn": (
        f"model learn {CART} HISTORY",
        f"model learn {CART} HISTORY --json",
        f"model learn {CART} HISTORY --html OUT.html",
    ),
    "model history": (f"model history {CART} --rows 5", f"model history {CART} --rows 5 --out OUT.csv"),
    "model fit": (
        f"model fit {CART} --history HISTORY",
        f"model fit {CART} --history HISTORY --json",
        f"model fit {CART} --history HISTORY --html OUT.html",
    ),
    "model compare": (
        f"model compare {CART} {CART} --history HISTORY",
        f"model compare {CART} {CART} --history HISTORY --json",
        f"model compare {CART} {CART} --history HISTORY --html OUT.html",
    ),
    "model schema": ("model schema", "model schema --out OUT.schema.json"),
    "model export": (
        f"model export {CART} --format json",
        f"model export {CART} --format dot",
        f"model export {CART} --format graphml",
        *(f"model export {CART} --format {kind} --out OUT.{kind}" for kind in ("json", "dot", "graphml")),
        *(f"model export {CART} --format {kind} --out OUT.{kind}" for kind in ("bif", "xmlbif", "uai")),
        *(f"model export {CART} --format {kind} --out OUT.csv" for kind in ("matrix", "fmea")),
        f"model export {CART} --format fmea",
    ),
    "model new": ("model new OUT.yaml --answers RIG",),
    "model from-fmea": (
        "model from-fmea FMEA --to OUT.yaml",
        "model from-fmea FMEA --to OUT.yaml --json",
    ),
    "model from-matrix": (
        "model from-matrix MATRIX --to OUT.yaml",
        "model from-matrix MATRIX --to OUT.yaml --json",
    ),
    "model diff": (
        f"model diff {CART} {CART} --html OUT.html",
        f"model diff {CART} {CART} --json",
    ),
    "model review": (f"model review {CART} --html OUT.html", f"model review {CART} --json"),
    "testability": (
        f"testability {CART} --seconds 1",
        f"testability {CART} --seconds 1 --json",
        f"testability {CART} --seconds 1 --html OUT.html",
        f"testability {CART} --seconds 1 --csv OUT.csv",
    ),
    "model criticality": (
        f"model criticality {CART}",
        f"model criticality {CART} --json",
        f"model criticality {CART} --html OUT.html",
        f"model criticality {CART} --csv OUT.csv",
    ),
    "model sensitivity": (
        f"model sensitivity {CART} --observe fluid_under_cart=below_pump --seconds 1",
        f"model sensitivity {CART} --observe fluid_under_cart=below_pump --seconds 1 --json",
        f"model sensitivity {CART} --observe fluid_under_cart=below_pump --seconds 1 --html OUT.html",
        f"model sensitivity {CART} --observe fluid_under_cart=below_pump --seconds 1 --csv OUT.csv",
    ),
    "case list": ("case list", "case list --json"),
    "case show": ("case show hot-cart", "case show hot-cart --truth", "case show hot-cart --json"),
    "case check": (
        "case check hot-cart",
        "case check hot-cart --json",
        "case check WRONG",
        "case check WRONG --json",
    ),
    "case seal": ("case seal hot-cart --out OUT.pack --key-file KEY",),
    "case unseal": ("case unseal PACK --key-file KEY", "case unseal PACK --key-file KEY --to OUTS/apart"),
    "case generate": (
        "case generate whinchat-dc-power --out OUT.cases",
        "case generate whinchat-dc-power --out OUT.cases --json",
    ),
    "case new": ("case new OUT.yaml --answers STORY",),
    "case from-workorder": (f"case from-workorder ORDER --model {CART} --out OUT.yaml",),
    "case schema": ("case schema", "case schema --out OUT.schema.json"),
    "grade": (
        "grade LOG",
        "grade LOG --json",
        "grade LOGS",
        "grade LOGS --json",
        "grade LOGS --html OUT.html",
        "grade LOGS --csv OUT.csv",
    ),
    "hand-in": ("hand-in SESSION --to OUTS",),
    "marks propose": ("marks propose MARKS LOGS", "marks propose MARKS LOGS --json"),
    "marks confirm": ("marks confirm MARKS --all --by MK", "marks confirm MARKS 14 --all --by MK --json"),
    "marks again": (
        "marks again MARKS LOGS --because x --by MK",
        "marks again MARKS --withdraw hot-cart --because x --by MK --json",
    ),
    "where": ("where", "where --json"),
}

BIF = """network pump { }
variable worn { type discrete [ 2 ] { absent, present }; }
variable gauge { type discrete [ 2 ] { normal, low }; }
probability ( worn ) { table 0.9, 0.1; }
probability ( gauge | worn ) { (absent) 0.98, 0.02; (present) 0.05, 0.95; }
"""

HISTORY = (
    "hours,situation,complaint,found,result\n"
    "3000,in_use,fluid_under_cart=below_pump,pump.shaft_seal,rectified\n"
    "1000,in_use,fluid_under_cart=below_pump,,\n"
)

MATRIX = "fault,probability,sight glass,gauge\nminutes,,4,17\nworn pump,0.7,0,1\nlow level,0.3,1,0.95\n"


def functions() -> Iterator[tuple[str, object]]:
    """Every command with the function behind it; commands of groups in two words."""
    for command in COMMANDS:
        module, _, name = command.home.partition(":")
        target = getattr(import_module(module), name)
        if isinstance(target, typer.Typer):
            for inner in target.registered_commands:
                yield f"{command.name} {inner.name}", inner.callback
        else:
            yield command.name, target


def test_every_command_has_its_entries() -> None:
    assert {name for name, _ in functions()} == set(ENTRIES)


def test_every_kind_of_output_has_an_entry() -> None:
    for name, function in functions():
        wanted = OUTPUTS & set(inspect.signature(function).parameters)  # type: ignore[arg-type]
        given = {word.removeprefix("--") for line in ENTRIES[name] for word in line.split()}
        assert wanted <= given, name


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """A folder with a session that was left, a wrong model, a network and its roles."""
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"")))
    (tmp_path / "WRONG").write_text("model: wrong\nqantities: {}\n", encoding="utf-8")
    (tmp_path / "NETWORK.bif").write_text(BIF, encoding="utf-8")
    (tmp_path / "ROLES").write_text('{"faults": ["worn"], "checks": {"gauge": 10}}', encoding="utf-8")
    (tmp_path / "MATRIX.csv").write_text(MATRIX, encoding="utf-8")
    (tmp_path / "RIG").write_text("Tug\nquit\n", encoding="utf-8")
    (tmp_path / "FMEA").write_text("item,mode,rate\npump,worn,1e-6\n", encoding="utf-8")
    (tmp_path / "HISTORY").write_text(HISTORY, encoding="utf-8")
    (tmp_path / "STORY").write_text("1\nDark\n\nquit\n", encoding="utf-8")
    (tmp_path / "ORDER").write_text("Display dark.", encoding="utf-8")
    (tmp_path / "ANSWERS").write_text("quit\n", encoding="utf-8")
    (tmp_path / "REFERRED").write_text("refer\n", encoding="utf-8")
    (tmp_path / "KEY").write_text("four plain words here", encoding="utf-8")
    (tmp_path / "PACK").write_bytes(small_pack())
    return tmp_path


def small_pack() -> bytes:
    """A sealed case, its key made at little cost."""
    key, cost = key_of("four plain words here"), Cost(1, 8_192)
    return seal([find_case("hot-cart")], Models(), About("An exam"), key, cost).data


def words_of(line: str, place: Path) -> list[str]:
    names = (
        "WRONG", "ROLES", "ANSWERS", "REFERRED", "OUTS", "KEY", "PACK", "OUTS/apart", "STORY", "ORDER",
        "MARKS", "LOGS", "RIG", "FMEA", "HISTORY",
    )  # fmt: skip
    known = {name: str(place / name) for name in names}
    known |= {"NETWORK": str(place / "NETWORK.bif"), "MATRIX": str(place / "MATRIX.csv"), "SESSION": "1"}
    known |= {"LOG": str(place / "LOGS" / "sessions" / "0001-hot-cart.jsonl")}
    return [
        str(place / "made" / word) if word.startswith("OUT.") else known.get(word, word)
        for word in line.split()
    ]


def entries() -> list[object]:
    lines = [line for found in ENTRIES.values() for line in found]
    return [pytest.param(line, id=line) for line in lines]


@pytest.mark.parametrize("line", entries())
def test_every_output_says_what_it_is(line: str, place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (place / "made").mkdir()
    if "SESSION" in line:
        run(["isolate", CART, *REPORTED, "--answers", str(place / "ANSWERS")])
        capsys.readouterr()
    if "LOG" in line or "MARKS" in line:
        worked(Home(place / "LOGS"), ("refer",))
    if "MARKS" in line:
        run(["marks", "propose", str(place / "MARKS"), str(place / "LOGS")])
        capsys.readouterr()
    code = run(words_of(line, place))
    out, err = capsys.readouterr()
    assert code in (0, 1), err
    written = [path for folder in ("made", "OUTS") for path in (place / folder).rglob("*") if path.is_file()]
    assert out or err or written
    if out or not written:  # a conversation goes to the other stream
        assert said(out or err)
        assert "--json" not in line or json.loads(out)["notice"] == full_notice(subject_of(line))
    texts = {path.name: content(path) for path in written}
    assert not texts or any(said(text) for text in texts.values()), list(texts)
    for name, text in texts.items():
        # a UAI file can carry no words, and cases come out of a pack as they went in: words lie beside them
        assert said(text) or ".uai" in name or "apart" in line, name
        assert not name.endswith(".svg") or PRINTED in " ".join(text.split())


def said(text: str) -> bool:
    return SAYS_SO in " ".join(text.split())


def content(path: Path) -> str:
    """The text of a file, of a pack its clear part; of an archive the texts of all but models and logs."""
    if path.suffix == ".pack":
        return path.read_bytes().partition(b"}\n")[0].decode()
    if path.suffix != ".zip":
        return path.read_text(encoding="utf-8")
    with zipfile.ZipFile(path) as archive:
        own = [name for name in archive.namelist() if not name.endswith((".yaml", ".jsonl"))]
        return "\n".join(archive.read(name).decode() for name in own) + archive.comment.decode()


def subject_of(line: str) -> str:
    """Whether the output is about one model, and what that is a model of."""
    about_one = CART in line or line.startswith(("resume", "case show", "practice", "grade", "model from"))
    return "training_rig" if about_one else ""


def test_the_screen_has_the_short_form_and_the_end_the_full_one() -> None:
    for subject in ("invented", "training_rig", "generic", ""):
        assert len(short_notice(subject)) <= 75
        assert SAYS_SO in short_notice(subject) and SAYS_SO in full_notice(subject)
        assert "current approved data, local rules, licensed staff" in full_notice(subject)


@pytest.mark.parametrize(
    "words", [[], ["--help"], ["--version"], *([name, "--help"] for name in ("rank", "where"))]
)
def test_so_does_every_help(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 0
    assert said(capsys.readouterr().out)


@pytest.mark.parametrize("name", [name for name, _ in functions()])
def test_so_does_the_help_of_every_command(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*name.split(), "--help"]) == 0
    assert said(capsys.readouterr().out)
