"""A model as a dependency matrix: each cell is what the fault alone does, and the file can be planned."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.cli.app import run
from faultiso.interchange.matrix import read_matrix
from faultiso.planning.dependency import dependency_matrix

from ..models.shipped import reasoner_of
from .test_advice import believe

CART = "workshop-power-cart"


def test_each_cell_is_what_the_fault_alone_would_show() -> None:
    belief = believe({})
    found = dependency_matrix(belief)
    for c, check in enumerate(found.checks):
        sign = belief.open[check]
        place = {chosen: row for row, chosen in enumerate(belief.leading.sets)}
        usual = sign.given[place[frozenset()]].argmax()
        for f, fault in enumerate(found.faults):
            alone = 1 - sign.given[place[frozenset((fault,))]][usual]
            assert found.detects[f, c] == pytest.approx(alone, abs=1e-6)
            assert found.probability[f] == pytest.approx(belief.prior_of(fault))


def test_the_written_matrix_can_be_planned(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "cart.csv"
    words = ["model", "export", CART, "--format", "matrix", "--situation", "at_pressure", "--out", str(file)]
    assert run(words) == 0
    found = read_matrix(file)
    assert found.faults == tuple(reasoner_of(CART).model.faults)
    assert "low_pressure_light" in found.checks
    assert run(["chart", str(file), "--seconds", "0.5"]) == 0
    assert "low_pressure_light" in capsys.readouterr().out
