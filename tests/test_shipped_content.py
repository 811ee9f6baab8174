"""Every file that comes with faultiso is in order, and says nothing that could hurt somebody."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.checking import check_case
from faultiso.casebook.library import case_files
from faultiso.casebook.load import load_case
from faultiso.casebook.models import Models
from faultiso.language.load import load
from faultiso.language.shipped import shipped_models

ROOT = Path(__file__).parent.parent
MODELS = sorted(shipped_models().values())
CASES = list(case_files().values())
READ_ONCE = Models()

#: warnings that stand: file -> their codes, each with the reason why it is left
WARNINGS_LEFT: dict[str, dict[str, str]] = {}

#: what no text may say, whatever the linter thinks of it
UNWANTED = {
    "a hand on or along a line": (
        r"\b(hands?|fingers?|palms?)\b[^.;]{0,30}\b(on|along|over|round|around)\b[^.;]{0,20}"
        r"\b(lines?|pipes?|hoses?|unions?|fittings?|leaks?|jets?)\b"
    ),
    "touching what may be hot or under pressure": (
        r"\b(touch|feel|grip|stroke)\w*\b[^.;]{0,40}\b(hot|pressuri[sz]ed|pressure lines?|pipes?|hoses?)\b"
    ),
    "a torque": r"\btorqu\w*\b|\b\d[\d.,]*\s*(N[ ·.-]?m|ft[ .-]?lbs?|in[ .-]?lbs?)\b",
    "how to open something": r"\b(loosen|slacken|unscrew|crack open|back off|bleed at the)\b",
    "a release to service": r"\b(may|can|is|are) (be )?(released|returned) to service\b|\bairworthy\b",
    "a breaker that is held or reset again": r"\b(hold|holding|repeatedly|keep) [^.;]{0,20}breaker (in|reset)",
}
FORBIDS = re.compile(
    r"\b(never|not|no|nobody|without|instead of|rather than|away from|clear of|keeps? clear)\b", re.IGNORECASE
)


def texts(node: Any) -> Iterator[str]:
    """Every text of a file, keys too."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from texts(key)
            yield from texts(value)
    elif isinstance(node, list):
        for item in node:
            yield from texts(item)
    elif isinstance(node, str):
        yield node


def complaints(text: str) -> list[str]:
    """What is wrong with a text, sentence by sentence; one that forbids it is welcome."""
    return [
        f"{what}: {sentence.strip()}"
        for sentence in re.split(r"[.!?;]\s", text)
        for what, pattern in UNWANTED.items()
        if re.search(pattern, sentence, re.IGNORECASE) and not FORBIDS.search(sentence)
    ]


def test_there_are_models() -> None:
    assert {path.stem for path in MODELS} >= {"workshop-power-cart", "whinchat-hydraulics"}


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.name)
def test_every_model_loads_with_no_warning_but_those_that_are_listed(path: Path) -> None:
    loaded = load(path)
    assert loaded.model is not None, "\n".join(map(str, loaded.problems))
    assert {problem.code for problem in loaded.problems} == set(WARNINGS_LEFT.get(path.name, {}))


@pytest.mark.parametrize("path", [*MODELS, *CASES], ids=lambda path: path.name)
def test_no_text_asks_for_what_could_hurt(path: Path) -> None:
    found = [c for text in texts(yaml.safe_load(path.read_text("utf-8"))) for c in complaints(text)]
    assert found == []


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.name)
def test_every_model_says_what_it_is_about_and_who_wrote_it(path: Path) -> None:
    model = load(path, lint=False).model
    assert model is not None
    assert model.subject in ("invented", "training_rig", "generic")
    assert model.about and model.review.author and model.review.version
    assert model.review.author != model.review.reviewer
    assert all(fault.source for fault in model.faults.values()), "every rate has a source, or says invented"
    assert all(caution.text and caution.source for caution in model.cautions.values())


def test_there_are_cases_of_every_model_and_of_many_kinds() -> None:
    loaded = [load_case(path, READ_ONCE) for path in CASES]
    assert {item.model.name for item in loaded if item.model} == {path.stem for path in MODELS}
    assert {kind for item in loaded if item.case for kind in item.case.kinds} >= {
        "single", "double", "nothing wrong", "false indication", "intermittent", "latched",
    }  # fmt: skip


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_case_reads_without_a_problem(path: Path) -> None:
    loaded = load_case(path, READ_ONCE)
    assert loaded.case is not None and loaded.model is not None, "\n".join(map(str, loaded.problems))
    assert loaded.problems == () and loaded.case.difficulty


@pytest.mark.parametrize(
    "path",
    [pytest.param(path, marks=() if n % 8 == 0 else pytest.mark.long) for n, path in enumerate(CASES)],
    ids=lambda path: path.stem,
)
def test_every_case_can_be_worked(path: Path, reasoners: dict[str, Reasoner]) -> None:
    """Every eighth one by default, all of them in the long run: a case takes seconds."""
    loaded = load_case(path, READ_ONCE)
    assert loaded.case is not None and loaded.model is not None, "\n".join(map(str, loaded.problems))
    reasoner = reasoners.setdefault(loaded.model.name, Reasoner(loaded.model))
    checked = check_case(loaded.case, loaded.model, reasoner)
    assert (*loaded.problems, *checked.problems) == ()
    assert checked.findings is not None


@pytest.fixture(scope="module")
def reasoners() -> dict[str, Reasoner]:
    """One for each model: cases of one model share what it has compiled."""
    return {}


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("run a hand along the pressure hose", True),
        ("Never run a hand along the pressure hose.", False),
        ("feel whether the pipe is hot", True),
        ("tighten to 25 Nm", True),
        ("torque the union", True),
        ("loosen the union a little", True),
        ("the aircraft may be released to service", True),
        ("hold the breaker in", True),
        ("look along the pressure hose from a distance, with card and lamp", False),
        ("the motor is feeling its age", False),
        ("an infrared thermometer at the pump case", False),
    ],
)
def test_the_patterns_find_what_they_are_for(text: str, wrong: bool) -> None:
    assert bool(complaints(text)) is wrong
