"""Worlds of cases beyond the model: what was seen stands, however little the model makes of it."""

from __future__ import annotations

import pytest

from faultiso.casebook.case import Case
from faultiso.casebook.complaint import complaint, with_pins
from faultiso.casebook.hidden_world import world_of
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.model.system import Model

READ_ONCE = Models()


def beyond() -> list[tuple[Case, Model]]:
    found = [read_case(path, READ_ONCE) for path in case_files().values()]
    return [(case, model) for case, model in found if case.beyond_model]


@pytest.mark.parametrize(("case", "model"), beyond(), ids=lambda part: getattr(part, "name", ""))
def test_the_world_of_a_case_beyond_the_model_shows_its_pins(case: Case, model: Model) -> None:
    world = world_of(case, model)
    timeline, pinned = with_pins(case, model, complaint(case, model))
    for readings in pinned:
        for reading in readings:
            answer = world.answer(reading.sign, timeline, reading.moment, reading.draw)
            if reading.outcome:
                assert answer.outcome == reading.outcome
            else:
                assert answer.number == reading.number


def test_there_are_such_cases() -> None:
    assert len(beyond()) >= 2
