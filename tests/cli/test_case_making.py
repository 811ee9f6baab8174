"""``faultiso case generate``, ``new`` and ``from-workorder``: files, words, exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from faultiso.casebook.load import load_case
from faultiso.cli.app import run
from tests.casebook.frame import LAMP

Capture = pytest.CaptureFixture[str]
DC = "whinchat-dc-power"
CART = "workshop-power-cart"


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def told(capsys: Capture, *words: str, code: int = 0) -> tuple[str, str]:
    assert run(["case", *words]) == code
    return capsys.readouterr()


# generate


def test_drawn_cases_are_written_and_valid(capsys: Capture, tmp_path: Path) -> None:
    out, _ = told(capsys, "generate", DC, "--number", "2", "--seed", "2", "--out", str(tmp_path / "drawn"))
    files = sorted((tmp_path / "drawn").glob("*.yaml"))
    assert len(files) == 2 and "2 cases;" in out and "drawn were tried" in out
    assert all(path.stem in out for path in files)
    out, _ = told(capsys, "check", str(tmp_path / "drawn"))
    assert "2 cases: 2 valid, 0 not." in out
    before = [path.read_bytes() for path in files]
    told(capsys, "generate", DC, "--number", "2", "--seed", "2", "--out", str(tmp_path / "drawn"))
    assert [path.read_bytes() for path in files] == before


def test_what_was_edited_is_not_written_over(capsys: Capture, tmp_path: Path) -> None:
    words = ("generate", DC, "--seed", "2", "--out", str(tmp_path))
    told(capsys, *words)
    (path,) = tmp_path.glob("*.yaml")
    path.write_text("mine", "utf-8")
    _, err = told(capsys, *words, code=2)
    assert "already" in err and path.read_text("utf-8") == "mine"


def test_without_a_folder_they_are_among_your_own(capsys: Capture, own_home: Path) -> None:
    out, _ = told(capsys, "generate", DC, "--difficulty", "easy", "--json")
    data = json.loads(out)
    (case,) = data["cases"]
    assert case["difficulty"] == "easy" and data["tried"] >= 1
    assert (own_home / "cases" / f"{case['name']}.yaml").exists()
    assert case["name"] in told(capsys, "list")[0]


def test_a_model_by_its_path(capsys: Capture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "lamp.yaml").write_bytes(LAMP.read_bytes())
    monkeypatch.chdir(tmp_path)
    told(capsys, "generate", "models/lamp.yaml", "--out", "drawn/here")
    (path,) = (tmp_path / "drawn" / "here").glob("*.yaml")
    assert "model: ../../models/lamp.yaml" in path.read_text("utf-8").replace('"', "")
    assert load_case(path).problems == ()


def test_too_few_is_a_plain_no(capsys: Capture, tmp_path: Path) -> None:
    words = ("--kind", "nothing wrong", "--difficulty", "very-hard", "--out", str(tmp_path))
    out, _ = told(capsys, "generate", DC, *words, code=1)
    assert "Only 0 of 1 case that are very hard or nothing wrong were found" in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--difficulty", "hrad"), "nearest: hard"),
        (("--kind", "power loss"), "written by hand"),
        (("--aim", "second_wittness"), "nearest: second_witness"),
        (("--number", "0"), "from 1 to 500"),
        (("--number", "many"), 'found "many"'),
        (("--seed", "-1"), "--seed is a whole number"),
    ],
)
def test_wrong_words(capsys: Capture, words: tuple[str, ...], said: str) -> None:
    out, err = told(capsys, "generate", DC, *words, code=2)
    assert not out and said in " ".join(err.split()) and "Traceback" not in err


# new

STORY = """3
Slow under load
The cart lifts slowly. Pressure sags when the cylinder moves.
5
display
1,500
cylinder
slow

2
1
pump worn

1
3
A reading at rest says nothing of flow.
under demand

What changes when flow is asked for?
What comes out of the case of it?

Buttons first, then the flow from the case.
model desk
"""


@pytest.fixture
def story(tmp_path: Path) -> Path:
    (tmp_path / "story.txt").write_text(STORY, "utf-8")
    return tmp_path / "story.txt"


def test_a_whole_case_by_questions(capsys: Capture, story: Path, tmp_path: Path) -> None:
    path = tmp_path / "slow-lift.yaml"
    out, err = told(capsys, "new", str(path), "--answers", str(story))
    assert "is valid" in " ".join(out.split()) and "difficulty" in out and str(path) in err
    loaded = load_case(path)
    assert loaded.problems == () and loaded.case is not None
    case = loaded.case
    assert (case.name, case.truth, case.kinds, case.right_end) == (
        "slow-lift",
        ("pump.worn",),
        ("single",),
        "rectified",
    )
    assert case.seen[0].reports == {"display_reading": "1500 psi", "cylinder": "slow"}
    assert case.aims[0].name == "under_demand" and len(case.hints) == 2
    assert case.difficulty is not None


def test_where_the_lines_run_out_the_rest_is_left_open(capsys: Capture, story: Path, tmp_path: Path) -> None:
    lines = STORY.splitlines()
    for number in range(1, len(lines), 4):
        story.write_text("\n".join(lines[:number]) + "\n", "utf-8")
        path = tmp_path / f"draft-{number}.yaml"
        _, err = told(capsys, "new", str(path), "--answers", str(story), code=2)
        assert "ran out at an open question" in " ".join(err.split())
        text = path.read_text("utf-8")
        assert "# author:" in text and "state: draft" in text
        assert {problem.code for problem in load_case(path).problems} <= {"missing", "shape"}, load_case(
            path
        ).problems


def test_quit_keeps_what_was_said(capsys: Capture, story: Path, own_home: Path) -> None:
    story.write_text("3\nSlow under load\nquit\n", "utf-8")
    told(capsys, "new", "--answers", str(story))
    told(capsys, "new", "--answers", str(story))
    names = sorted(path.name for path in (own_home / "cases").iterdir())
    assert names == ["slow-under-load-2.yaml", "slow-under-load.yaml"]


def test_what_is_wrong_is_kept_where_the_questions_are_left_there(
    capsys: Capture, story: Path, tmp_path: Path
) -> None:
    begun = STORY.partition("pump worn\n")[0] + "pump worn\n"
    for number, end in enumerate(("quit\n", "")):
        story.write_text(begun + end, "utf-8")
        path = tmp_path / f"left-{number}.yaml"
        told(capsys, "new", str(path), "--answers", str(story), code=0 if end else 2)
        assert "\ntruth: [pump.worn]" in path.read_text("utf-8")


def test_slips_cost_a_sentence(capsys: Capture, story: Path, tmp_path: Path) -> None:
    slips = STORY.replace("\n5\ndisplay\n1,500\n", "\n99\nflying\n5\ndisplay\n99,999\nblue\n1,500\n")
    story.write_text(slips, "utf-8")
    _, err = told(capsys, "new", str(tmp_path / "slips.yaml"), "--answers", str(story))
    said = " ".join(err.split())
    assert "The list has the numbers 1 to 8." in said and "fits no level" in said
    assert load_case(tmp_path / "slips.yaml").problems == ()


def test_a_file_that_is_there_is_not_asked_about(capsys: Capture, story: Path) -> None:
    for path, said in ((story, "there is already a file of this name"), (Path("case.txt"), "ends in .yaml")):
        assert said in " ".join(told(capsys, "new", str(path), code=2)[1].split())


# from-workorder

ORDER = """Registration: G-ABCD
Complaint: Display shows dashes at pressure. Seen by Capt. Morris at LHR, 27 NOV 2026. Dial good.
Action: Display S/N AB1234-01 replaced. Blue Heron told.
"""


def test_a_draft_without_what_identifies(capsys: Capture, tmp_path: Path) -> None:
    (tmp_path / "G-ABCD.txt").write_text(ORDER, "utf-8")
    path = tmp_path / "display.yaml"
    words = ("--model", CART, "--out", str(path), "--remove", "blue heron, Dial")
    out, err = told(capsys, "from-workorder", str(tmp_path / "G-ABCD.txt"), *words)
    text, said = path.read_text("utf-8"), " ".join(err.split())
    for planted in ("G-ABCD", "Morris", "LHR", "2026", "AB1234", "Heron", "Dial"):
        assert planted not in text and planted not in said.replace(str(tmp_path), "")
    assert "Display shows dashes at pressure." in text and "state: draft" in text
    assert (
        out == ""
        and "never find everything" in said
        and "station 1" in said
        and "word of your list 2" in said
    )
    assert "Registration" in said
    problems = load_case(path).problems
    assert {problem.code for problem in problems} == {"missing"}


def test_the_name_of_the_file_is_not_that_of_the_order(
    capsys: Capture, tmp_path: Path, own_home: Path
) -> None:
    (tmp_path / "G-ABCD.txt").write_text("Display dark.", "utf-8")
    for _ in range(2):
        told(capsys, "from-workorder", str(tmp_path / "G-ABCD.txt"), "--model", CART)
    assert sorted(path.name for path in (own_home / "cases").iterdir()) == [
        "from-workorder-1.yaml",
        "from-workorder-2.yaml",
    ]


def test_a_draft_names_its_model_from_where_it_lies(
    capsys: Capture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "lamp.yaml").write_bytes(LAMP.read_bytes())
    (tmp_path / "order.txt").write_text("No glow.", "utf-8")
    monkeypatch.chdir(tmp_path)
    told(capsys, "from-workorder", "order.txt", "--model", "lamp.yaml", "--out", "drafts/glow.yaml")
    assert {problem.code for problem in load_case(tmp_path / "drafts" / "glow.yaml").problems} == {"missing"}


def test_wrong_use_of_it(capsys: Capture, tmp_path: Path) -> None:
    (tmp_path / "empty.txt").write_text(" \n", "utf-8")
    (tmp_path / "order.txt").write_text("Display dark.", "utf-8")
    for words, said in (
        ((str(tmp_path / "order.txt"),), "--model is needed"),
        ((str(tmp_path / "empty.txt"), "--model", CART), "there is no text"),
        ((str(tmp_path / "none.txt"), "--model", CART), "No such file"),
        ((str(tmp_path / "order.txt"), "--model", "no-such"), "no-such"),
    ):
        out, err = told(capsys, "from-workorder", *words, code=2)
        assert not out and said in " ".join(err.split()) and "Traceback" not in err


def test_narrow_screens(
    capsys: Capture, tmp_path: Path, story: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    (tmp_path / "order.txt").write_text(ORDER, "utf-8")
    for words in (
        ("generate", DC, "--out", str(tmp_path / "drawn")),
        ("new", str(tmp_path / "new.yaml"), "--answers", str(story)),
        ("from-workorder", str(tmp_path / "order.txt"), "--model", CART, "--out", str(tmp_path / "o.yaml")),
    ):
        out, err = told(capsys, *words)
        asked = [line for line in err.splitlines() if " > " not in line and not line.startswith("> ")]
        assert all(len(line) <= 40 for line in [*out.splitlines(), *asked] if "/" not in line), words
