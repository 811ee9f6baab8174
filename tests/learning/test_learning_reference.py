"""The reference of histories can be believed: its example is read without a remark, its words are the program's."""

from __future__ import annotations

from pathlib import Path

from faultiso.learning.history import load_history
from faultiso.learning.learn import learn
from faultiso.learning.problem import Strength
from faultiso.learning.wording import HEADS, RESULTS
from tests.models.shipped import model_of

TEXT = (Path(__file__).parents[2] / "faultiso" / "learning" / "reference.md").read_text(encoding="utf-8")


def test_its_example_is_a_history(tmp_path: Path) -> None:
    lines = [line.strip() for line in TEXT.splitlines() if line.startswith("    ")]
    path = tmp_path / "example.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    history = load_history(path, model_of("workshop-power-cart"))
    assert (history.used, history.doubtful, history.set_aside, history.problems) == (3, 0, 0, ())
    learnt = learn(model_of("workshop-power-cart"), history.evidence)
    assert learnt.impossible == () and learnt.hours == 5750.5


def test_it_names_every_column_and_every_way_to_close_an_order() -> None:
    for name in HEADS:
        assert f"* `{name}`" in TEXT or f"`{name}`" in TEXT
    for result in RESULTS:
        assert f"`{result}`" in TEXT or result == "not known"


def test_its_figures_are_those_of_the_program() -> None:
    assert (Strength().rows, Strength().weak) == (20, 3) and "20 rows" in TEXT and "three to one" in TEXT
