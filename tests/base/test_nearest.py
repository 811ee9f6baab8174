"""The nearest valid name and short lists of names."""

from __future__ import annotations

import pytest

from faultiso.base.nearest import listed, nearest


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("moter", "motor"),
        ("Ground Power", "ground_power"),
        ("ground-power", "ground_power"),
        ("zzz", ""),
        ("", ""),
        ("motor" * 1000, ""),
    ],
)
def test_nearest(word, expected):
    assert nearest(word, ["motor", "ground_power"]) == expected


def test_nearest_of_nothing():
    assert nearest("motor", []) == ""


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        ([], "nothing"),
        (["a"], "a"),
        (["a", "b"], "a or b"),
        (["a", "b", "c"], "a, b or c"),
        (list("abcdefghi"), "a, b, c, d, e, f, ... (9 in all)"),
    ],
)
def test_listed(names, expected):
    assert listed(names) == expected


def test_listed_with_and():
    assert listed(["a", "b"], "and") == "a and b"
