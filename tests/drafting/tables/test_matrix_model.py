"""A dependency matrix as a model: it answers as Bayes' rule does with the matrix alone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.belief.reasoner import Reasoner
from faultiso.drafting.tables.draft import draft_text
from faultiso.drafting.tables.matrix_model import LEAST_NONE, model_of_matrix
from faultiso.interchange.matrix import parse_matrix
from faultiso.language.load import load_text, read_model
from faultiso.language.shipped import find_model
from faultiso.planning.dependency import dependency_matrix

CELL = st.sampled_from([0.0, 0.0, 0.3, 0.95, 1.0])


@st.composite
def matrices(draw: st.DrawFn) -> str:
    faults, checks = draw(st.integers(1, 5)), draw(st.integers(1, 4))
    weights = draw(st.lists(st.floats(0.01, 1), min_size=faults, max_size=faults))
    scale = draw(st.sampled_from([0.2, 0.9, 1.0, 3.0])) / sum(weights)
    rows = [
        ["fault", "probability", *(f"check {c}" for c in range(checks))],
        ["minutes", "", *(["5"] * checks)],
    ]
    for number, weight in enumerate(weights):
        cells = [repr(draw(CELL)) for _ in range(checks)]
        rows.append([f"unit {number}: bad", repr(min(1.0, weight * scale)), *cells])
    return "\n".join(",".join(row) for row in rows)


@given(matrices())
@settings(max_examples=60, deadline=None)
def test_it_answers_as_the_matrix_does(text: str) -> None:
    matrix = parse_matrix(text)
    made = model_of_matrix(matrix, "m.csv", "m")
    loaded = load_text(draft_text(made.draft, "m.schema.json"))
    assert loaded.errors == () and loaded.model is not None
    faults = list(loaded.model.faults)
    total = matrix.probability.sum()
    none = max(1 - total, LEAST_NONE)
    prior = matrix.probability / total * (1 - none)
    reasoner = Reasoner(loaded.model)
    before = reasoner.believe().faults
    assert [before[fault] for fault in faults] == pytest.approx(prior.tolist(), rel=1e-9)
    for place, title in enumerate(matrix.checks):
        sign = next((c for c in loaded.model.checks.values() if c.title == title), None)
        if sign is None:
            assert not matrix.detects[:, place].any() and any(title in told for told in made.told)
            continue
        shown = prior * matrix.detects[:, place]
        belief = reasoner.believe({sign.name: "shown"}).faults
        assert [belief[fault] for fault in faults] == pytest.approx((shown / shown.sum()).tolist(), abs=1e-9)
        quiet = prior * (1 - matrix.detects[:, place])
        belief = reasoner.believe({sign.name: sign.outcomes[0]}).faults
        expected = quiet / (quiet.sum() + none)
        assert [belief[fault] for fault in faults] == pytest.approx(expected.tolist(), abs=1e-9)


def test_names_of_a_model_come_back() -> None:
    model = read_model(find_model("workshop-power-cart"))
    matrix = dependency_matrix(Reasoner(model).believe(situation="standing_by"))
    made = model_of_matrix(matrix, "cart.csv", "cart")
    text = draft_text(made.draft, "s")
    assert "\nchecks:\n" in text and "\nrepairs:  # all minutes are invented\n" in text
    back = load_text(text).model
    assert back is not None and list(back.faults) == list(model.faults)
    assert [check.work.minutes for check in back.checks.values()][
        : len(matrix.checks)
    ] == matrix.minutes.tolist()
    hidden = {name for name, row in zip(matrix.faults, matrix.detects, strict=True) if not row.any()}
    assert all(any(name in told for told in made.told) for name in hidden)
    assert np.isclose(sum(matrix.probability), sum(Reasoner(back).believe().faults.values()))
