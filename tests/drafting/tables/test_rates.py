"""Rates of modes: ratio times rate of the item, whatever the unit; what could mean two things is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultiso.drafting.tables.rates import Rates
from tests.drafting.tables.frame import refusals, table


def rates(folder: Path, head: str, *rows: str, options: Rates | None = None) -> list[float]:
    text = "\n".join([f"item;mode;failure mode ratio;{head}", *rows])
    return [mode.rate for mode in table(folder, text, options).modes]


@given(
    st.lists(st.floats(0.01, 1), min_size=1, max_size=6),
    st.floats(1e-9, 1e-3),
    st.sampled_from([("per hour", 1.0), ("per million hours", 1e6), ("λp, 10^-6", 1e6), ("FIT", 1e9)]),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_ratio_times_rate(tmp_path: Path, ratios: list[float], rate: float, unit: tuple[str, float]) -> None:
    shares = [ratio / sum(ratios) for ratio in ratios]
    title, hours = unit
    rows = [f"pump;mode {n};{share!r};{rate * hours!r}" for n, share in enumerate(shares)]
    found = rates(tmp_path, f"failure rate ({title})", *rows)
    assert found == pytest.approx([share * rate for share in shares], rel=1e-9)


def test_the_rate_of_an_item_stands_for_its_rows(tmp_path: Path) -> None:
    found = rates(tmp_path, "failure rate", "pump;worn;60 %;1e-5", ";torn;0.4;", "hose;chafed;;2e-6")
    assert found == pytest.approx([6e-6, 4e-6, 2e-6])


def test_units_in_cells_and_options(tmp_path: Path) -> None:
    assert rates(tmp_path, "failure rate", "a;b;;14 per million h") == pytest.approx([14e-6])
    assert rates(tmp_path, "failure rate", "a;b;;14", options=Rates(hours=1e6)) == pytest.approx([14e-6])
    assert rates(tmp_path, "failure rate", "a;b;;", options=Rates(missing=1e-6)) == [1e-6]
    for decimal, value in ((",", 1.234e-6), (".", 1234e-6)):
        said = Rates(1e6, decimal=decimal)
        assert rates(tmp_path, "failure rate", "a;b;;1,234", options=said) == pytest.approx([value])
    comma = Rates(decimal=",")
    assert rates(tmp_path, "failure rate", "a;b;0,25;1,5e-6", "a;c;0,75;", options=comma) == pytest.approx(
        [0.375e-6, 1.125e-6]
    )


def test_modes_with_a_rate_each(tmp_path: Path) -> None:
    found = table(tmp_path, "item,mode,rate\na,b,1e-6\na,c,3e-6\n")
    assert [mode.rate for mode in found.modes] == [1e-6, 3e-6]
    assert found.notes == ("a: no ratios, so each rate is that of its mode",)


def test_what_ratios_leave_is_told(tmp_path: Path) -> None:
    found = table(tmp_path, "item,mode,ratio,rate\na,b,0.5,1e-6\na,c,0.3,\n")
    assert found.notes == ("a: its modes have 0.8 of its failure rate; the rest is left out",)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ("a;b;0.7;14", 'shop.csv:2:9: column "failure rate": 14 failures in how many hours?'),
        ("a;b;1;1,234", 'column "failure rate": Does 1,234 mean 1.234 or 1234? Write a point'),
        ("a;b;1;1,5e-6 per h", "or say --decimal comma or point"),
        ("a;b;0,7;1e-6", 'shop.csv:2:5: column "failure mode ratio": Does 0,7 mean 0.7 or 7?'),
        ("a;b;70;1e-6", 'shop.csv:2:5: column "failure mode ratio": expected a number from 0 to 1; found 70'),
        ("a;b;0.7;often", 'shop.csv:2:9: column "failure rate": found "often".'),
        ("a;b;0.7;=1e-6", "A formula is not worked out here"),
        ("a;b;1;-1e-6", 'shop.csv:2:7: column "failure rate"'),
        ("a;b;0.7;", "shop.csv:2:9: no failure rate; expected one here, or --rate for all modes without one"),
        (
            "a;b;;1e-6\na;c;;",
            "shop.csv:2:5: a has 2 modes and one failure rate; expected a ratio for each mode",
        ),
        (
            "a;b;0.7;1e-6\na;c;0.6;",
            "shop.csv:2:5: the failure mode ratios of a come to 1.3; expected 1 at most",
        ),
        (
            "a;b;0.7;1e-6\na;c;;",
            "shop.csv:3:5: no failure mode ratio, though other modes of the item have one",
        ),
    ],
)
def test_what_is_refused(tmp_path: Path, rows: str, told: str) -> None:
    found = refusals(tmp_path, f"item;mode;failure mode ratio;failure rate\n{rows}\n")
    assert any(told in problem for problem in found), found


def test_several_rates_of_an_item_beside_ratios_are_told(tmp_path: Path) -> None:
    found = table(tmp_path, "item,mode,ratio,rate\na,b,0.5,4e-6\na,c,0.9,3e-7\n")
    assert found.notes == ("a: its rows name several failure rates; each times its own ratio",)
