"""Nothing that practice, coach, hints or debrief can print tells how to open, loosen, set or touch anything."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from faultiso.base.problems import Where
from faultiso.casebook.lints import wording
from faultiso.language.lints import hands, loosening, torque
from tests.practice.frame import CASES, ONE_FOR_EACH_MODEL, asked, case_of, said, started
from tests.test_shipped_content import complaints

ROOT = Path(__file__).parents[2] / "faultiso"
MODULES = sorted(
    [*ROOT.glob("practice/*.py"), *ROOT.glob("assessment/*.py"), ROOT / "cli" / "practice.py"]
    + [ROOT / "report" / "pages" / f"{name}.py" for name in ("debrief", "briefing", "practised")]
)
NOWHERE = Where("", 1, 1)


def strings(path: Path) -> Iterator[str]:
    """Every text in a module, the pieces of formatted ones too; docstrings are for who writes it."""
    tree = ast.parse(path.read_text("utf-8"))
    own = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body and isinstance(node.body[0], ast.Expr)
    }  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(p.value) if isinstance(p, ast.Constant) else "it" for p in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in own:
            yield node.value


def wrong_in(texts: list[str]) -> list[str]:
    placed = [(text, NOWHERE) for text in texts]
    found = [str(problem.message) for lint in (hands, loosening, torque) for problem in lint.judged(placed)]
    return [*found, *(complaint for text in texts for complaint in complaints(text))]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_no_text_of_a_module_tells_how_to_do_it(path: Path) -> None:
    assert wrong_in(list(strings(path))) == []


def test_there_is_something_to_judge_and_it_would_be_found() -> None:
    assert sum(len(list(strings(path))) for path in MODULES) > 400
    assert wrong_in(["Loosen the union and see.", "Feel along the hose.", "Torque it to 25 Nm."])


@pytest.mark.parametrize("name", CASES)
def test_no_text_of_a_case_does(name: str) -> None:
    assert list(wording.check(*case_of(name))) == []


@pytest.mark.parametrize("name", ONE_FOR_EACH_MODEL)
def test_no_screen_does(name: str) -> None:
    """What a session prints with help, the data sheet of everything, all voices and all hints."""
    play = started(name, "quiet")
    model = play.desk.model
    parts = [part for group in (model.indications, model.checks, model.components) for part in group.values()]
    lines = ["help", "data", "ask", *(f"ask {who}" for who in ("crew", "log", "uplift", "colleague"))]
    lines += [
        *(["hint"] * len(play.case.hints)),
        *(f"data {part.title}" for part in parts),
        "finish",
        "defer",
    ]
    screen = [text for line in lines for text in (said(play, line), asked(play))]
    assert wrong_in(screen) == []
