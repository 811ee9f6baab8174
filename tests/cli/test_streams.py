"""Width, colour and streams that do not exist."""

from __future__ import annotations

import io
import sys
import time

import pytest

from faultiso.cli import streams
from faultiso.report.page import Page


class Screen(io.StringIO):
    """A terminal to write on."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("columns", "width"),
    [
        ("40", 40),
        ("120", 120),
        ("", 80),
        ("0", 80),
        ("-5", 80),
        ("wide", 80),
        ("3", 20),
        ("9" * 50, 1000),
        ("\u00b2", 80),
    ],
)
def test_columns_is_respected_within_reason(
    columns: str, width: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert streams.columns_of(io.StringIO()) == width


@pytest.mark.parametrize(
    ("environment", "stream", "colour"),
    [
        ({"TERM": "xterm"}, Screen(), True),
        ({"TERM": "xterm"}, io.StringIO(), False),
        ({"TERM": "dumb"}, Screen(), False),
        ({"TERM": "xterm", "NO_COLOR": "1"}, Screen(), False),
        ({"TERM": "xterm", "NO_COLOR": ""}, Screen(), True),
    ],
)
def test_styles_only_where_they_are_wanted(
    environment: dict[str, str], stream: io.StringIO, colour: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert streams.may_colour(stream) is colour
    streams.show(Page("Title"), stream)
    assert ("\x1b[1m" in stream.getvalue()) is colour


def test_nobody_sits_at_a_closed_or_missing_stream() -> None:
    closed = io.StringIO()
    closed.close()
    assert not streams.is_terminal(closed) and not streams.is_terminal(None)


def test_a_program_without_a_console_writes_nowhere(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("stdout", "stderr", "stdin"):
        monkeypatch.setattr(sys, name, None)
    streams.prepare()
    streams.show(Page("Title"))
    streams.say("text")
    assert not streams.is_conversation()


def test_a_conversation_needs_a_person_who_types_and_sees(monkeypatch: pytest.MonkeyPatch) -> None:
    for stdin, stderr, talks in (
        (Screen(), Screen(), True),
        (io.StringIO(), Screen(), False),
        (Screen(), io.StringIO(), False),
    ):
        monkeypatch.setattr(sys, "stdin", stdin)
        monkeypatch.setattr(sys, "stderr", stderr)
        assert streams.is_conversation() is talks


def test_a_count_is_shown_to_a_person_once_it_takes_long_and_ends_its_line(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for screen, patience, shown in (
        (Screen(), 0.0, True),
        (Screen(), 60.0, False),
        (io.StringIO(), 0.0, False),
    ):
        monkeypatch.setattr(sys, "stderr", screen)
        with streams.counting("{0} read", patience) as tell:
            tell(1)
            tell(2)
        assert ("\r2 read, 0 s" in screen.getvalue()) is shown
        assert screen.getvalue().endswith("\n") is shown


def waited(screen: io.StringIO, monkeypatch: pytest.MonkeyPatch, until: str = "\0") -> str:
    """What is shown while something takes until ``until`` was shown, or no time at all."""
    monkeypatch.setattr(sys, "stderr", screen)
    with streams.patiently("Working it out", patience=0.01 if until != "\0" else 60):
        while until != "\0" and until not in screen.getvalue():
            time.sleep(0.01)
    return screen.getvalue()


def test_who_waits_long_is_told_and_who_does_not_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    assert waited(Screen(), monkeypatch, "out") == "\rWorking it out, 0 s\n"
    assert waited(Screen(), monkeypatch) == "" == waited(io.StringIO(), monkeypatch)
    monkeypatch.setenv(streams.PLAIN, "1")
    assert waited(Screen(), monkeypatch, "out") == "Working it out.\n"
