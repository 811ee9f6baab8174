"""What was practised before, how it went, and which case comes next."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from faultiso.casebook.case import Aim
from faultiso.practice.history import LARGEST, Done, history, mastery, next_case
from tests.practice.frame import case_of


def record(**fields: Any) -> dict[str, Any]:
    base = {
        "case": "hot-cart",
        "right": True,
        "missed": [],
        "good_units_removed": [],
        "minutes": 80,
        "aims": ["latched"],
    }
    return {**base, **fields}


def done(case: str = "hot-cart", well: bool = True, aims: tuple[str, ...] = ("latched",)) -> Done:
    return Done("0001", case, well, well, 60.0, aims)


def test_records_are_read_the_oldest_first(tmp_path: Path) -> None:
    (tmp_path / "0002-b.json").write_text(json.dumps(record(case="b")), "utf-8")
    (tmp_path / "0001-a.json").write_text(json.dumps(record(case="a")), "utf-8")
    assert [(d.session, d.case) for d in history(tmp_path)] == [("0001", "a"), ("0002", "b")]
    assert history(tmp_path / "nowhere") == ()


@pytest.mark.parametrize(
    ("fields", "right", "well"),
    [
        ({}, True, True),
        ({"right": False}, False, False),
        ({"good_units_removed": ["replace_fan"]}, True, False),
        ({"missed": [{"critical": []}]}, True, True),
        ({"missed": [{"critical": ["noise"]}]}, True, False),
    ],
)
def test_well_is_right_with_no_good_unit_off_and_no_critical_hazard_missed(
    fields: dict[str, Any], right: bool, well: bool, tmp_path: Path
) -> None:
    (tmp_path / "0001-a.json").write_text(json.dumps(record(**fields)), "utf-8")
    assert [(d.right, d.well) for d in history(tmp_path)] == [(right, well)]


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"case": "a"}', json.dumps(record(minutes="x")).encode(),
     json.dumps(record(missed=3)).encode(), json.dumps(record(missed=[{}])).encode(), b" " * (LARGEST + 1)],
)  # fmt: skip
def test_what_cannot_be_read_is_passed_over(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "0001-a.json").write_bytes(content)
    (tmp_path / "0002-b.json").write_text(json.dumps(record()), "utf-8")
    assert [d.session for d in history(tmp_path)] == ["0002"]


def test_mastery_counts_the_last_three() -> None:
    went = [done(well=w) for w in (False, False, True, True, True)]
    assert mastery(went) == {"latched": 1.0}
    assert mastery([done(well=False), done(), done(well=False, aims=("other",))]) == {
        "latched": 0.5,
        "other": 0.0,
    }
    assert mastery([]) == {}


def test_the_next_case_is_the_lowest_stage_first_then_the_weakest_aim() -> None:
    names = ("first-light", "hot-cart", "slow-gear", "rough-air")
    cases = [case_of(name)[0] for name in names]
    assert next_case(cases, []) is cases[0]
    first = done("first-light", aims=("inhibited_lights",))
    weak = done("slow-gear", well=False, aims=tuple(a.name for a in cases[2].aims))
    assert next_case(cases, [first, weak]) is cases[2]
    assert next_case(cases, [done(name) for name in names]) is None
    assert next_case([], []) is None


def test_what_went_well_and_examinations_do_not_come_again() -> None:
    case = case_of("hot-cart")[0]
    exam = replace(case, name="exam", stage="examination")
    other = replace(case, name="other", aims=(Aim("new", "x"),))
    assert next_case([case, exam, other], [done("hot-cart")]) is other
    assert next_case([exam], []) is None
