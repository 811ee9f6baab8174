"""Published testability figures, counted on the table of an example."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from faultiso.appraisal.criticality import item_numbers, level, mode_number
from faultiso.appraisal.isolation import Shares, isolation

RECORDS: dict[str, Any] = yaml.safe_load(
    (Path(__file__).parent / "testability.yaml").read_text(encoding="utf-8")
)
KNOWN = RECORDS["testability"]


@pytest.mark.parametrize("name", KNOWN["records"])
@pytest.mark.parametrize("least", [1e-9, 0.5, 1.0])
def test_shares_of_a_table(name: str, least: float) -> None:
    record = KNOWN["records"][name]
    columns = [KNOWN["tests"].index(test) for test in record["available"]]
    shows = np.vstack([np.zeros(len(KNOWN["tests"])), np.array(KNOWN["shows"])])[:, columns]
    apart = np.abs(shows[:, None, :] - shows[None, :, :]).max(axis=2).astype(float)
    found = isolation(apart, np.array(KNOWN["rates"], dtype=float), ["s1", "s2", "s3", "s4", "s5"], least)
    agree(record["by_rate"], found.by_rate)
    if "alike" in record:
        agree(record["alike"], found.alike)


def agree(expected: dict[str, Any], found: Shares) -> None:
    assert found.detected == pytest.approx(expected["detected"], abs=1e-9)
    assert found.isolated == pytest.approx(expected["isolated"], abs=1e-9)
    assert found.size == pytest.approx(expected["size"], abs=1e-9)


@pytest.mark.parametrize("record", RECORDS["criticality"]["records"].values())
def test_criticality_numbers(record: Any) -> None:
    numbers = []
    for mode in record["modes"]:
        number = mode_number(mode["beta"], mode["alpha"], record["failures_per_hour"], record["hours"])
        assert number == pytest.approx(mode["number"], rel=1e-9)
        numbers.append((mode["severity"], number))
    assert item_numbers(numbers) == pytest.approx(record["item"], rel=1e-9)


@pytest.mark.parametrize("record", RECORDS["levels"]["records"].values())
def test_probability_levels(record: Any) -> None:
    assert [level(share) for share in record["shares"]] == record["levels"]
