"""How a log begins: all that the person may know, and nothing of what is hidden."""

from __future__ import annotations

import json

import pytest

from faultiso.practice.beginning import record_beginning
from faultiso.practice.terms import MODES, Terms, terms_of
from faultiso.session.desk import Lines
from tests.practice.frame import ONE_FOR_EACH_MODEL, case_of


@pytest.mark.parametrize("name", [*ONE_FOR_EACH_MODEL, "dashes-at-dawn"])
def test_nothing_that_is_hidden_stands_in_it(name: str) -> None:
    case, model = case_of(name)
    log = Lines()
    desk = record_beginning(case, model, log, Terms("quiet", "14"))
    text = json.dumps([dict(entry.data) for entry in log.entries])
    aims = [part for aim in case.aims for part in (aim.name, aim.text)]
    words = [f'"{word}"' for word in (*case.kinds, case.right_end)]
    hidden = [*case.truth, *case.hints, case.good_solution, *words, *aims]
    assert not [each for each in hidden if each in text]
    assert desk.state.phase == "work" and desk.state.practises


@pytest.mark.parametrize("mode", MODES)
def test_the_terms_are_read_back(mode: str) -> None:
    terms = Terms(mode, "14", 75.0, "a.yaml", "b.yaml")  # type: ignore[arg-type]
    log = Lines()
    record_beginning(*case_of("hot-cart"), log, terms)
    assert terms_of(log.entries[0].data) == terms
