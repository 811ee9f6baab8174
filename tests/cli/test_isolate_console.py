"""The conversation with a person: a full disk, leaving, the first question before anything is loaded."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from faultiso.base.journal import Entry, Journal, NotSaved, read
from faultiso.cli.console import Left, TerminalConsole
from faultiso.cli.conversation import Loading, asked_at_once, converse
from faultiso.cli.errors import DONE, LEFT
from faultiso.language.load import read_model
from faultiso.language.peek import peek
from faultiso.language.shipped import shipped_models
from faultiso.session.isolation import Isolation, begin

CART = shipped_models()["workshop-power-cart"]


class Full(Journal):
    """A journal on a disk that is full at some lines."""

    full_at: tuple[int, ...] = ()

    def append(self, event: str, data: Mapping[str, Any]) -> Entry:
        if self.full_at and len(self.entries) + 1 == self.full_at[0]:
            self.full_at = self.full_at[1:]
            raise NotSaved("the last answer could not be saved: No space left on device.")
        return super().append(event, data)


def _console(lines: Iterator[str]) -> TerminalConsole:
    def typed(prompt: str) -> str:
        line = next(lines, None)
        if line is None:
            raise EOFError
        return line

    return TerminalConsole(typed)


def _session(path: Path) -> tuple[Isolation, Full]:
    journal = Full(path, new=True)
    return begin(read_model(CART), journal), journal


def test_on_a_full_disk_the_same_answer_is_taken_after_room_was_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    session, journal = _session(tmp_path / "0001-x.jsonl")
    journal.full_at = (3, 3)
    lines = ["running unloaded", "run light", "", "", "lit", "quit"]
    assert converse(session, _console(iter(lines)), journal) == DONE
    assert "Enter tries again with: run light" in capsys.readouterr().err
    assert [entry.event for entry in read(journal.path)] == ["began", "seen", "picked", "reported", "left"]


def test_on_a_full_disk_one_can_leave(tmp_path: Path) -> None:
    session, journal = _session(tmp_path / "0001-x.jsonl")
    journal.full_at = (3, 3)
    assert converse(session, _console(iter(["running unloaded", "run light", "quit"])), journal) == LEFT
    assert [entry.event for entry in read(journal.path)] == ["began", "seen"]


def test_who_leaves_finds_everything_saved(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    session, journal = _session(tmp_path / "0001-x.jsonl")
    assert converse(session, _console(iter(["running unloaded"])), journal) == LEFT
    assert "faultiso resume" in capsys.readouterr().err
    assert read(journal.path)[-1].event == "left"


def test_the_first_question_is_that_of_the_loaded_model(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    loading = Loading(CART)
    first = asked_at_once(CART, _console(iter(["running unloaded"])), loading)
    early = capsys.readouterr().err
    assert first == "running unloaded"
    assert loading.wait().name == "workshop-power-cart"
    session, journal = _session(tmp_path / "0001-x.jsonl")
    converse(session, _console(iter([])), journal)
    late = capsys.readouterr().err
    assert late.startswith(early)


@pytest.mark.parametrize("path", list(shipped_models().values()), ids=lambda path: path.stem)
def test_a_glance_agrees_with_the_model(path: Path) -> None:
    glance, model = peek(path), read_model(path)
    assert glance is not None
    assert (glance.title, glance.subject) == (model.title, model.subject)
    assert glance.situations == tuple((s.title, s.about) for s in model.situations.values())


@pytest.mark.parametrize(
    "text", ["", "model: x", "title: [", "title: a\nsubject: invented\nsituations: {a: 1}\n", "\0"]
)
def test_a_glance_at_anything_else_gives_nothing(text: str, tmp_path: Path) -> None:
    file = tmp_path / "x.yaml"
    file.write_text(text, encoding="utf-8")
    assert peek(file) is None
    assert peek(tmp_path) is None


def test_what_is_wrong_with_a_model_is_told_after_the_first_answer(tmp_path: Path) -> None:
    from faultiso.base.problems import InvalidModel

    file = tmp_path / "x.yaml"
    file.write_text(
        CART.read_text(encoding="utf-8").replace("bench_demand: flowing", "bench_demand: maybe"),
        encoding="utf-8",
    )
    loading = Loading(file)
    assert asked_at_once(file, _console(iter(["1"])), loading) == "1"
    with pytest.raises(InvalidModel):
        loading.wait()


def test_leaving_at_the_first_question(tmp_path: Path) -> None:
    assert asked_at_once(CART, _console(iter([])), Loading(CART)) == "quit"
    with pytest.raises(Left):
        _console(iter([])).ask("> ")
