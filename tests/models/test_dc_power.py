"""The DC power model: every fault looks as the trade expects it to, and is then among the leading three."""

from __future__ import annotations

from typing import Any

import pytest

from tests.models.shipped import model_of, reasoner_of
from tests.models.test_patterns import LEADING, LEAST, NORMAL, chances, job, rows_of

NAME = "whinchat-dc-power"
ROWS: dict[str, Any] = rows_of("dc-power-patterns.yaml")
FAULTS = {name: [{"least": LEAST, **view} for view in views] for name, views in ROWS["faults"].items()}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_fault_looks_as_the_trade_expects(fault: str) -> None:
    found = list(chances(NAME, job(NAME, FAULTS[fault]), frozenset([fault])))
    assert not [f"{reading} {chance:.2f}" for reading, chance, wanted in found if chance < wanted]


@pytest.mark.parametrize("fault", FAULTS)
def test_its_pattern_puts_it_among_the_leading_three(fault: str) -> None:
    done = job(NAME, FAULTS[fault])
    assert done.timeline is not None
    belief = reasoner_of(NAME).belief(done.timeline, [reading for reading, _, _ in done.readings])
    assert fault in list(belief.faults)[:LEADING], list(belief.faults.items())[:LEADING]


@pytest.mark.parametrize("row", range(len(ROWS["normal"])))
def test_normal_behaviour_leads_to_no_fault_found(row: int) -> None:
    done = job(NAME, [ROWS["normal"][row]])
    assert done.timeline is not None
    assert not [f"{r} {found:.2f}" for r, found, _ in chances(NAME, done, frozenset()) if found < NORMAL]
    belief = reasoner_of(NAME).belief(done.timeline, [reading for reading, _, _ in done.readings])
    assert not belief.diagnoses[0].faults


@pytest.mark.parametrize("complaint", ROWS["complaints"])
def test_what_usually_lies_behind_a_complaint_leads(complaint: str) -> None:
    row = ROWS["complaints"][complaint]
    done = job(NAME, row["seen"])
    assert done.timeline is not None
    belief = reasoner_of(NAME).belief(done.timeline, [reading for reading, _, _ in done.readings])
    assert set(row["usual"]) <= set(list(belief.faults)[:LEADING]), list(belief.faults.items())[:LEADING]


def test_every_fault_has_a_pattern() -> None:
    assert set(model_of(NAME).faults) == set(FAULTS)
