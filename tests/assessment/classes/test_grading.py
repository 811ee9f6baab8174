"""From logs to outcomes: each once, several attempts by the rule, and what else there is to say of a log."""

from __future__ import annotations

import dataclasses
from datetime import datetime
from pathlib import Path

import pytest

from faultiso.assessment.classes import grading, judging
from faultiso.assessment.classes.grading import Graded, Terms, graded, without_files
from faultiso.assessment.classes.record import class_record
from faultiso.assessment.classes.report import class_report
from faultiso.assessment.receipts import Noted
from faultiso.assessment.roster import read_roster
from faultiso.assessment.submissions import submissions
from faultiso.report.json_output import document
from faultiso.session.home import Home
from tests.assessment.class_of import BY_LUCK, GIVEN_UP, WHOLE, worked
from tests.assessment.classes.made import RUBRIC


def times(day: int):  # type: ignore[no-untyped-def]
    return lambda: f"2026-11-{day:02d}T10:00:00+00:00"


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Five logs: 14 by luck and then whole, 15 whole, 16 left, one altered."""
    place = Home(tmp_path_factory.mktemp("class") / "home")
    worked(place, BY_LUCK, "14", now=times(1))
    worked(place, WHOLE, "14", now=times(2))
    worked(place, WHOLE, "15", now=times(3))
    worked(place, GIVEN_UP, "16", now=times(4))
    path = worked(place, WHOLE, "17", now=times(5))
    path.write_bytes(path.read_bytes().replace(b'"17"', b'"18"'))
    return path.parent


def judged(logs: Path, **terms: object) -> Graded:
    return graded(submissions([logs], place=Home(logs.parent)), Terms(RUBRIC, **terms))  # type: ignore[arg-type]


def test_every_log_comes_out_once(logs: Path) -> None:
    told: list[int] = []
    found = submissions([logs], place=Home(logs.parent))
    result = graded(found, Terms(RUBRIC), told.append)
    assert told == [1, 2, 3, 4, 5]
    assert [each.grade.candidate for each in result.outcomes] == ["14", "14", "15"]
    assert {each.path: each.kind for each in result.aside} == {
        "0004-hot-cart.jsonl": "unfinished",
        "0005-hot-cart.jsonl": "altered",
    }
    assert result.subject == "training_rig" and not result.all_judged


@pytest.mark.parametrize(("rule", "log"), [("first", 1), ("last", 2), ("best", 2)])
def test_of_several_attempts_one_counts(rule: str, log: int, logs: Path) -> None:
    result = judged(logs, keep=rule)
    (mine,) = [each for each in result.outcomes if each.grade.candidate == "14"]
    assert mine.path == f"000{log}-hot-cart.jsonl"
    (other,) = [each for each in result.aside if each.kind == "does not count"]
    assert other.path == f"000{3 - log}-hot-cart.jsonl" and rule in other.sentence


def test_late_logs_are_told_and_count(logs: Path) -> None:
    result = judged(logs, until=datetime.fromisoformat("2026-11-02T12:00:00+00:00"))
    assert len(result.outcomes) == 3
    (late,) = [each for each in result.noted if each.kind == "late"]
    assert late.candidate == "15" and late.sentence.startswith("ended late, at 2026-11-03")


def test_receipts_and_people_without_a_log_are_told(logs: Path, tmp_path: Path) -> None:
    roster = tmp_path / "crew.csv"
    roster.write_text("candidate,name\n014,Reed\n99,Vale\n", encoding="utf-8")
    people = read_roster(roster)
    result = judged(logs, roster=people, receipts=(Noted("15", "", "AAAA-AAAA", 2),))
    assert ("nothing handed in", "99") in {(each.kind, each.candidate) for each in result.noted}
    assert ("receipt: different", "15") in {(each.kind, each.candidate) for each in result.noted}
    report = class_report("x", result.outcomes, RUBRIC, people.name, result.aside, result.noted)
    assert "99 Vale" in {each.who for each in report.first}
    assert report.people[0].called == "14 Reed", "014 and 14 are the same number"


def test_a_log_that_breaks_the_judging_costs_only_itself(logs: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = judging.outcome_of

    def breaks(found, *more):  # type: ignore[no-untyped-def]
        if found.candidate == "15":
            raise RecursionError("made by hand")
        return whole(found, *more)

    monkeypatch.setattr(judging, "outcome_of", breaks)
    result = judged(logs)
    assert len(result.outcomes) == 2
    assert ("not judged", "15") in {(each.kind, each.candidate) for each in result.aside}


def test_without_names_no_name_of_a_file_is_told(logs: Path) -> None:
    result = without_files(judged(logs, keep="best"))
    report = class_report("x", result.outcomes, RUBRIC, aside=result.aside, noted=result.noted)
    text = document(class_record(report))
    assert "jsonl" not in text and "log 1" in text
    assert len({each.path for each in (*result.outcomes, *result.aside)}) == 5


def test_all_is_judged_where_nothing_but_rules_set_logs_aside() -> None:
    assert Graded((), ()).all_judged
    aside = grading.Aside("a", "unfinished", "s")
    assert Graded((), (aside, dataclasses.replace(aside, kind="second copy"))).all_judged
    assert not Graded((), (dataclasses.replace(aside, kind="no copy"),)).all_judged
