"""Write-ups of the Whinchat as crews word them: what usually lies behind leads, and normal behaviour is no fault."""

from __future__ import annotations

import pytest

from faultiso.belief.belief import Belief
from tests.models.shipped import reasoner_of
from tests.models.test_patterns import LEADING, job, rows_of

NAME = "whinchat-hydraulics"
ROWS = rows_of("patterns-systems-1-2.yaml")[NAME]
ALSO = 10


def belief_of(views: list[dict[str, object]]) -> Belief:
    done = job(NAME, views)
    assert done.timeline is not None
    return reasoner_of(NAME).belief(done.timeline, [reading for reading, _, _ in done.readings])


@pytest.mark.parametrize("complaint", ROWS["complaints"])
def test_what_usually_lies_behind_a_complaint_leads(complaint: str) -> None:
    row = ROWS["complaints"][complaint]
    belief = belief_of([{"at": at, "shows": shows} for at, shows in row["shown"].items()])
    ranked = list(belief.faults)
    assert set(row["usual"]) <= set(ranked[:LEADING]), list(belief.faults.items())[:ALSO]
    assert set(row["also"]) <= set(ranked[:ALSO]), list(belief.faults.items())[:ALSO]


@pytest.mark.parametrize("row", range(len(ROWS["nothing found"])))
def test_normal_behaviour_that_was_written_up_leads_to_no_fault_found(row: int) -> None:
    belief = belief_of([ROWS["nothing found"][row]])
    leading = belief.diagnoses[0]
    assert not leading.faults, belief.diagnoses[:LEADING]
    assert belief.none_modelled > max(belief.faults.values())
