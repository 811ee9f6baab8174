"""Little memory gives the same answers, more slowly, and says so; far too little is refused in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest

from faultiso.base.problems import TooLarge
from faultiso.belief.reasoner import Reasoner, load_model
from faultiso.belief.scene import Scene
from faultiso.engine.cutset import Mixture
from faultiso.engine.propagate import Propagation
from faultiso.network.network import Array

READINGS = {
    "display_reading@in_use": "low",
    "temperature_gauge@long_run": "hot",
    "fan_sound@long_run": "silent",
}


def test_told_in_turn_is_as_exact_as_one_pass() -> None:
    whole = load_model("workshop-power-cart")
    exact = whole.believe(READINGS)
    tight = Reasoner(whole.model, memory=exact.now.scene.plan.entries * 24 // 3).believe(READINGS)
    assert not exact.limitation
    assert "told in turn" in tight.limitation
    assert tight.faults == pytest.approx(exact.faults, abs=1e-12)
    assert tight.surprise_bits == pytest.approx(exact.surprise_bits, abs=1e-9)
    assert tight.unexplained == pytest.approx(exact.unexplained, abs=1e-9)


def test_far_too_little_memory_is_told_in_words() -> None:
    model = load_model("workshop-power-cart").model
    with pytest.raises(TooLarge, match="more than the limit"):
        _ = Reasoner(model, memory=200).believe(READINGS).faults


def test_columns_that_do_not_fit_together_are_run_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    exact = load_model("workshop-power-cart").believe(READINGS)
    together = exact.left_out
    belief = load_model("workshop-power-cart").believe(READINGS)
    _ = belief.faults
    run = Scene._run

    def narrow(
        scene: Scene, likelihoods: Mapping[int, Array], columns: int, wanted: Sequence[int]
    ) -> Propagation | Mixture:
        if columns > 1:
            raise TooLarge("too large")
        return run(scene, likelihoods, columns, wanted)

    monkeypatch.setattr(Scene, "_run", narrow)
    assert belief.left_out.all_readings == pytest.approx(together.all_readings, abs=1e-9)
    for name, alone in belief.left_out.without.items():
        assert alone == pytest.approx(together.without[name], abs=1e-9)


def test_the_chances_of_some_signs_are_those_of_all() -> None:
    belief = load_model("workshop-power-cart").believe(READINGS)
    for name, outcomes in belief.chances_of(list(belief.prospects)[:9]).items():
        assert outcomes == pytest.approx(dict(belief.values[name].outcomes), abs=1e-12)
