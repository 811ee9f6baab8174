"""Published testability figures, counted on the table of an example."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

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
