"""Rubric files: the shipped ones hold, and every mistake is named with its place."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest

from faultiso.assessment.grade import CRITERIA
from faultiso.assessment.rubric import SHIPPED, THRESHOLDS, find_rubric, read_rubric, shipped_rubric
from faultiso.base.problems import InvalidModel, UsageError

DEFAULT = Path(str(files("faultiso.assessment") / "rubrics" / "default.yaml")).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", SHIPPED)
def test_the_shipped_rubrics_hold(name: str) -> None:
    rubric = find_rubric(name)
    assert rubric.name == name and len(rubric.digest) == 64
    assert tuple(rubric.weights) == CRITERIA and sum(rubric.weights.values()) == pytest.approx(100)
    assert set(rubric.thresholds) == set(THRESHOLDS)
    assert rubric.review.author != rubric.review.reviewer


def test_what_is_left_out_is_as_usual() -> None:
    assert shipped_rubric().thresholds == THRESHOLDS


WRONG = {
    "weights:": ("weihgts:", "weights"),
    "safety: 25": ("safety: 35", "the weights sum to 110, not to 100"),
    "pass_mark: 60": ("pass_mark: 160", "found 160"),
    "enough_belief: 0.8": ("enough_belief: 0.1", "least_belief must be below enough_belief"),
    "unrestored: yes": ("unrestored: maybe", "maybe"),
    "economy: 5": ("econmy: 5", "economy"),
}


@pytest.mark.parametrize("line", WRONG)
def test_a_mistake_is_named_with_its_place(line: str, tmp_path: Path) -> None:
    wrong, told = WRONG[line]
    assert line in DEFAULT
    file = tmp_path / "mine.yaml"
    file.write_text(DEFAULT.replace(line, wrong, 1), encoding="utf-8")
    with pytest.raises(InvalidModel) as found:
        read_rubric(file)
    text = str(found.value)
    assert told in text and f"{file}:" in text


@pytest.mark.parametrize("cut", range(0, len(DEFAULT), 97))
def test_a_torn_file_is_a_rubric_or_says_what_is_wrong(cut: int, tmp_path: Path) -> None:
    file = tmp_path / "torn.yaml"
    file.write_text(DEFAULT[:cut], encoding="utf-8")
    try:
        rubric = read_rubric(file)  # what stands at the end of the file may be left out
    except InvalidModel as error:
        assert error.problems
    else:
        assert sum(rubric.weights.values()) == pytest.approx(100)


def test_an_unknown_rubric_is_told_with_the_nearest() -> None:
    with pytest.raises(UsageError, match="nearest: default"):
        find_rubric("defautl")
