"""A figure of the command line: a number within its bounds, or one clear sentence."""

from __future__ import annotations

import pytest

from faultiso.base.problems import UsageError
from faultiso.cli.figures import figure


@pytest.mark.parametrize(("text", "value"), [("0", 0.0), ("2", 2.0), ("2.5", 2.5), ("600", 600.0)])
def test_a_number_within_its_bounds(text: str, value: float) -> None:
    assert figure("--seconds", text, 0, 600) == value


@pytest.mark.parametrize("text", ["", "abc", "-1", "601", "nan", "inf", "1_0", "\u0661", "2,5"])
def test_anything_else_is_one_sentence(text: str) -> None:
    with pytest.raises(UsageError, match=r"--seconds is a number from 0 to 600, not "):
        figure("--seconds", text, 0, 600)
