"""Watching files: every save is seen once, however an editor writes it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from faultiso.cli import watch
from faultiso.cli.app import run
from faultiso.cli.watch import Watched
from tests.cli.test_app import VALID


class Enough(Exception):
    """The scenes are over."""


def acted(monkeypatch: pytest.MonkeyPatch, scenes: list[Callable[[], object]]) -> Iterator[int]:
    """Each time somebody waits, the next scene is played; afterwards ``Enough``."""
    left = iter(scenes)

    def sleep(_: float) -> None:
        scene = next(left, None)
        if scene is None:
            raise Enough
        scene()

    monkeypatch.setattr(watch, "sleep", sleep)
    return iter(())


def rounds(watched: Watched) -> int:
    """How many times something was seen until the scenes are over."""
    seen = 0
    try:
        while True:
            watched.wait()
            seen += 1
    except Enough:
        return seen


def nothing() -> None:
    """A look at which all is as it was."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "a.yaml"
    path.write_text("one", "utf-8")
    return path


def test_each_save_is_seen_once(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    acted(monkeypatch, [nothing, lambda: file.write_text("two!", "utf-8"), nothing, nothing])
    assert rounds(Watched([file])) == 1


def test_a_file_that_is_replaced_by_one_of_the_same_size_and_time(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def replace() -> None:
        other = file.with_name("other")
        other.write_text("two", "utf-8")
        os.utime(other, ns=(file.stat().st_atime_ns, file.stat().st_mtime_ns))
        os.replace(other, file)

    acted(monkeypatch, [replace, nothing])
    assert rounds(Watched([file])) == 1


def test_gone_for_a_moment_is_one_save(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    acted(monkeypatch, [file.unlink, nothing, lambda: file.write_text("one", "utf-8"), nothing])
    assert rounds(Watched([file])) == 1


def test_gone_for_long_is_told_once_and_so_is_its_return(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    looks = [file.unlink, *[nothing] * 8, lambda: file.write_text("one", "utf-8"), nothing]
    acted(monkeypatch, looks)
    assert rounds(Watched([file])) == 2


def test_a_file_that_is_not_there_yet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "b.yaml"
    acted(monkeypatch, [*[nothing] * 6, lambda: path.write_text("new", "utf-8"), nothing])
    assert rounds(Watched([path])) == 1


def test_a_save_during_the_check_is_not_missed(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    watched = Watched([file])
    file.write_text("saved while it was read", "utf-8")
    watched.these([file, file.with_name("b.yaml")])
    acted(monkeypatch, [nothing])
    assert rounds(watched) == 1


def test_includes_are_watched_as_they_come(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    main, more = tmp_path / "tug.yaml", tmp_path / "more.yaml"
    main.write_text(VALID, "utf-8")
    scenes: list[Callable[[], object]] = [
        lambda: main.write_text(VALID + "include: [more.yaml]\n", "utf-8"),
        lambda: more.write_text("zones: {bay: {titel: bay}}\n", "utf-8"),
        lambda: more.write_text("zones: {bay: {title: bay}}\n", "utf-8"),
    ]
    left = iter(scenes)

    def sleep(_: float) -> None:
        scene = next(left, None)
        if scene is None:
            raise KeyboardInterrupt
        scene()

    monkeypatch.setattr(watch, "sleep", sleep)
    assert run(["model", "check", str(main), "--watch"]) == 130
    out = " ".join(capsys.readouterr().out.split())
    answers = ["is valid", "there is no such file", 'takes no "titel"', "is valid"]
    places = [out.find(answer, 1) for answer in answers[:3]]
    assert places == sorted(places) and -1 not in places and out.count("is valid") == 2
