"""The write-up that is taken where nothing was read."""

from __future__ import annotations

import pytest

from faultiso.appraisal.commonest import after_commonest
from faultiso.base.problems import UsageError
from faultiso.belief.reasoner import Reasoner
from tests.semantics.small import model

from .rigs import RIG


def test_it_is_what_the_most_frequent_faults_show_as_seen_by_the_person_at_work() -> None:
    rig = model(RIG)
    belief = after_commonest(Reasoner(rig))
    assert [(reading.sign, reading.outcome) for reading in belief.readings] == [
        ("lamp", "lit"),
        ("second_lamp", "lit"),
    ]
    assert belief.timeline.moments[0].conditions == {"power": "on"}
    assert belief.timeline.moments[-1].conditions == rig.start
    assert list(belief.faults)[:2] == ["pump.worn", "pump.seized"]


def test_a_model_without_a_telling_indication_asks_for_readings() -> None:
    with pytest.raises(UsageError, match="--observe"):
        after_commonest(Reasoner(model("components: {box: {title: box, faults: {bad: {rate: 1e-3}}}}\n")))
