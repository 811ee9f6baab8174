"""Reports that nobody finds again, against the list of all worlds, on random models."""

from __future__ import annotations

import pytest

from faultiso.appraisal.again import Again, again, reports
from faultiso.appraisal.signatures import signatures
from faultiso.belief.reasoner import Reasoner
from faultiso.model.expected import expected
from faultiso.network.timeline import start
from tests.semantics import oracle
from tests.semantics.answers import Seen
from tests.semantics.random_models import random_case
from tests.semantics.test_random_beliefs import with_situations

CLOSE = 1e-9


@pytest.mark.parametrize("seed", range(30))
def test_each_figure_is_that_of_all_worlds(seed: int) -> None:
    model = with_situations(random_case(seed).model)
    reasoner = Reasoner(model)
    found = signatures(reasoner)
    usual = {(sign.name, sign.situation): sign.outcomes[sign.usual] for sign in found.indications}
    for row in again(reasoner, found):
        there = model.situations[row.situation].values
        normal = usual[row.sign, row.situation]
        outcomes = model.indications[row.sign].outcomes
        off = Seen(row.sign, 0, {outcome: float(outcome != normal) for outcome in outcomes})
        table = oracle.table(model, start(there).then(there))
        assert row.reported == pytest.approx(table.evidence([off]), abs=CLOSE)
        assert row.nothing_wrong == pytest.approx(table.set_chances([off]).get(frozenset(), 0.0), abs=CLOSE)
        back = Seen(row.sign, 1, {normal: 1.0}, draw=1)
        assert row.same == pytest.approx(1 - table.evidence([off, back]) / table.evidence([off]), abs=CLOSE)
        later = oracle.table(model, start(there).then(model.start))
        back = Seen(row.sign, 1, {expected(model, model.start)[row.sign]: 1.0}, draw=1)
        gone = later.evidence([off, back]) / later.evidence([off])
        assert row.at_start == pytest.approx(1 - gone, abs=CLOSE)


def test_all_together_are_weighed_by_how_often_each_is_reported() -> None:
    rows = [Again("a", "", 0.03, 0.5, 0.9, 0.2), Again("b", "", 0.01, 0.1, 0.5, 1.0)]
    found = reports(rows)
    assert (found.nothing_wrong, found.not_same, found.not_at_start) == pytest.approx((0.4, 0.2, 0.6))
    assert reports([]).nothing_wrong is None
