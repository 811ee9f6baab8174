"""``faultiso`` alone on a terminal: a number, Enter, or leave."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from faultiso.cli import app
from faultiso.cli.console import Left, LineConsole


class Person(LineConsole):
    """A person who has these lines to type, and then leaves."""

    def __init__(self, *lines: str) -> None:
        super().__init__(iter(lines))

    def ask(self, prompt: str, question: str = "") -> str:
        for line in self._lines:
            return line
        raise Left


@pytest.fixture
def begun(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """The commands that were begun, in place of running them."""
    names: list[str] = []
    monkeypatch.setattr(app, "is_conversation", lambda: True)
    monkeypatch.setattr(app, "_begun", lambda command: names.append(command.name))
    yield names


def start(monkeypatch: pytest.MonkeyPatch, *lines: str) -> int:
    monkeypatch.setattr("faultiso.cli.console.open_console", lambda: Person(*lines))
    return app.run([])


def test_enter_takes_the_first_and_a_number_its_line(
    begun: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    starts = [command.name for command in app.COMMANDS if command.start]
    assert start(monkeypatch, "") == 0
    for number in range(1, len(starts) + 1):
        assert start(monkeypatch, str(number)) == 0
    assert begun == [starts[0], *starts]


def test_a_slip_asks_again(
    begun: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert start(monkeypatch, "99", "xyzzy", "1") == 0
    assert capsys.readouterr().err.count("A number from 1 to ") == 2
    assert len(begun) == 1


def test_leaving(begun: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    assert start(monkeypatch, "quit") == 0
    assert start(monkeypatch) == 130
    assert begun == []


def test_the_page_lists_what_there_is_with_the_command(
    begun: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    start(monkeypatch, "quit")
    out, err = capsys.readouterr()
    assert out == "" and "not approved maintenance data" in err
    listed = [command for command in app.COMMANDS if command.start]
    assert listed and all(command.start in err and command.begins in err for command in listed)
