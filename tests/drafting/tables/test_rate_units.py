"""What a head says that rates are per: numbers of hours in any spelling, and nothing is guessed."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.drafting.tables.rate_units import unit_of
from tests.drafting.tables.frame import refusals, table


@pytest.mark.parametrize(
    ("head", "hours"),
    [
        ("failure rate", 0), ("rate", 0), ("\u03bbp", 0), ("failure rate (lambda p)", 0),
        ("failure rate per hour", 1), ("failure rate (lambda p), per hour", 1), ("failures / h", 1),
        ("failure rate (per flight hour)", 1), ("failure rate per FH", 1), ("rate per hour, item 106", 1),
        ("failure rate per million hours", 1e6), ("failure rate (per 10^6 h)", 1e6), ("rate / 1E6 h", 1e6),
        ("rate per 1.0E+06 hours", 1e6), ("rate per 1,000,000 operating hours", 1e6), ("FPMH", 1e6),
        ("\u03bbp, 10^-6", 1e6), ("rate x 10-6 per hour", 1e6), ("rate (1e-6/h)", 1e6), ("rate (10\u22126/h)", 1e6),
        ("rate per 1,000 hours", 1e3), ("rate per thousand hours", 1e3), ("rate per 10^5 h", 1e5),
        ("rate per 10 hours", 10), ("rate per 100 flight hours", 100), ("rate per 10 million hours", 1e7),
        ("rate (FIT)", 1e9), ("rate per 1,000,000,000 hours", 1e9), ("rate per thousand million hours", 1e9),
    ],
)  # fmt: skip
def test_numbers_of_hours(head: str, hours: float) -> None:
    found = unit_of(head)
    assert (found.hours, found.unknown) == (pytest.approx(hours), "")


@pytest.mark.parametrize(
    "head",
    ["rate per year", "rate per flight", "rate per cycle", "rate per billion hours", "% per 1000 h",
     "rate per 0 hours", "rate (million)", "rate, 10^6", "rate per 1e-6 h per 1000 h", "rate/item"],
)  # fmt: skip
def test_anything_else_is_not_understood_and_refused_once(head: str, tmp_path: Path) -> None:
    assert unit_of(head).unknown
    told = refusals(tmp_path, f'item,mode,"failure rate ({head})"\na,b,1e-6\nc,d,2e-6\n')
    assert len(told) == 1 and "failures in how many hours" in told[0] and told[0].startswith("shop.csv:1:")


def test_a_rate_per_thousand_hours_is_a_thousandth(tmp_path: Path) -> None:
    (mode,) = table(tmp_path, 'item,mode,"failure rate (per 1,000 hours)"\na,b,1e-4\n').modes
    assert mode.rate == pytest.approx(1e-7)
