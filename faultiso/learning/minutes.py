"""Minutes until what was found is repaired, if the repair order of the readings is followed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from faultiso.belief.reasoner import Reasoner
from faultiso.learning.fit import Judged
from faultiso.model.system import Model
from faultiso.planning.outlook import outlook
from faultiso.planning.repairs import repair_order

MOST_KINDS = 200  # of rows that are worked through, the most frequent first


@dataclass(frozen=True)
class Minutes:
    """``mean`` over ``rows`` of the ``of`` rows in which faults were proved."""

    mean: float
    rows: int
    of: int


def repair_minutes(
    model: Model, judged: Sequence[Judged], tell: Callable[[int, int], None] = lambda done, of: None
) -> Minutes | None:
    """None where no row names proved faults."""
    named = [each for each in judged if each.possible and each.row.finding.faults and each.rank]
    some = sorted(named, key=lambda each: -each.times)[:MOST_KINDS]
    reasoner, spent, rows = Reasoner(model), 0.0, 0
    for number, each in enumerate(some, 1):
        spent += each.times * _minutes(reasoner, each)
        rows += each.times
        tell(number, len(some))
    return Minutes(spent / rows, rows, sum(each.times for each in named)) if rows else None


def _minutes(reasoner: Reasoner, judged: Judged) -> float:
    """Repairs in their order until all that was found is cleared; what the order leaves is referred."""
    seen = outlook(reasoner.belief(judged.row.timeline, judged.row.readings))
    left, spent = set(judged.row.finding.faults), 0.0
    for step in repair_order(seen):
        if not left:
            break
        spent += step.option.minutes
        left -= set(step.option.repair.clears)
    return spent + (seen.refer_minutes if left else 0.0)
