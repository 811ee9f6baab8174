"""One process or many, in whatever order: the same class to the last character, and no log lost for another."""

from __future__ import annotations

import os
import shutil
import signal
from multiprocessing import active_children
from pathlib import Path
from random import Random

import pytest

from faultiso.assessment.classes import many
from faultiso.assessment.classes.grading import Terms, class_of
from faultiso.assessment.classes.many import Judging, judged_files
from faultiso.assessment.classes.record import class_record
from faultiso.assessment.classes.report import class_report
from faultiso.assessment.gathering import File, files_of
from faultiso.assessment.kept_positions import FILE
from faultiso.report.json_output import document
from faultiso.session.home import Home
from tests.assessment.class_of import BY_LUCK, GIVEN_UP, WHOLE, handed_in, worked
from tests.assessment.classes.made import RUBRIC

CANDIDATES = 4


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Logs of four people at two cases, one left, one altered, one twice, one in a zip file, no log at all."""
    place = Home(tmp_path_factory.mktemp("class") / "home")
    for number in range(CANDIDATES):
        worked(place, (*WHOLE[: 2 + number], "repair replace thermostat", *BY_LUCK[1:]), f"{number}")
        worked(place, (*BY_LUCK[1:], "refer", "finish"), f"{number}", name="red-light")
    path = worked(place, GIVEN_UP, "7")
    shutil.copy(path, path.with_name("a-copy.jsonl"))
    handed_in(place, worked(place, WHOLE, "9"), place.sessions)
    altered = worked(place, WHOLE, "8")
    altered.write_bytes(altered.read_bytes().replace(b'"8"', b'"6"'))
    (place.sessions / "0099-nothing.jsonl").write_text("nothing")
    return place.sessions


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Several processes for a handful of logs."""
    monkeypatch.setattr(many, "FEWEST_FILES", 2)
    monkeypatch.setattr(many, "FILES_OF_A_SHARE", 2)


def text(files: list[File], place: Home | None, processes: int) -> str:
    """The class as a document."""
    result = class_of(judged_files(files, Judging(RUBRIC, None, place), processes), Terms(RUBRIC))
    report = class_report("Class", result.outcomes, RUBRIC, aside=result.aside, noted=result.noted)
    return document(class_record(report), result.subject)


def files(logs: Path) -> list[File]:
    return [file for file in files_of([logs]) if isinstance(file, File)]


def test_as_many_processes_as_one_and_as_none_is_remembered(logs: Path, tmp_path: Path) -> None:
    shutil.copytree(logs.parent, tmp_path / "home")
    place = Home(tmp_path / "home")
    alone = text(files(logs), place, 1)
    cache = place.cache / FILE
    assert cache.is_file() and '"a-copy.jsonl"' in alone and '"altered"' in alone
    assert text(files(logs), place, 2) == alone
    cache.unlink()
    assert text(files(logs), place, 2) == alone and cache.is_file()


def test_the_order_of_files_changes_nothing_but_the_order(logs: Path) -> None:
    place = Home(logs.parent)
    listed = files(logs)
    other = Random(3).sample(listed, len(listed))
    marks = [
        {
            each.path: each
            for each in class_of(judged_files(some, Judging(RUBRIC, None, place), 1), Terms(RUBRIC)).outcomes
        }
        for some in (listed, other)
    ]
    assert marks[0] == marks[1] and list(marks[0]) != list(marks[1])


class Deadly(File):
    """A file at which the process dies that is to judge it."""

    def __reduce__(self) -> tuple[object, ...]:
        return os._exit, (3,)


def test_a_process_that_dies_costs_its_own_log_alone(logs: Path) -> None:
    listed = files(logs)
    place = Home(logs.parent)
    alone = list(judged_files(listed, Judging(RUBRIC, None, place), 1))
    found = list(
        judged_files([*listed[:4], Deadly(Path("x.jsonl")), *listed[4:]], Judging(RUBRIC, None, place), 2)
    )
    lost = found.pop(4)
    assert found == alone
    assert lost.aside is not None and lost.aside.kind == "not judged" and lost.aside.path == "x.jsonl"
    assert "process" in lost.aside.sentence
    assert not class_of([lost], Terms(RUBRIC)).all_judged


def test_who_stops_it_stops_the_processes_too(logs: Path) -> None:
    def stop(done: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        list(judged_files(files(logs), Judging(RUBRIC, None, Home(logs.parent)), 2, stop))
    assert [process for process in active_children() if process.is_alive()] == []


def test_a_process_leaves_it_to_its_parent_to_be_stopped(logs: Path) -> None:
    before = signal.getsignal(signal.SIGINT)
    try:
        many._begin(Judging(RUBRIC, None, Home(logs.parent)))
        assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)


def test_few_logs_need_no_other_process(logs: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(many, "ProcessPoolExecutor")
    told: list[int] = []
    listed = files(logs)
    found = list(judged_files(listed[:3], Judging(RUBRIC, None, Home(logs.parent)), 8, told.append))
    assert told == [1, 2, 3] and len(found) == 3
    assert many.cores() >= 1
