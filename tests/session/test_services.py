"""After a proof that failed: what is set back where it helps, and no traceback where there is no room to tell."""

from __future__ import annotations

import pytest

from faultiso.base.problems import TooLarge
from faultiso.belief.belief import Belief
from faultiso.language.load import read_model
from faultiso.language.shipped import shipped_models
from faultiso.session.isolation import Isolation, Lines, begin
from faultiso.session.services import service
from tests.session.colleague import Colleague


def after_a_proof_that_failed() -> Isolation:
    """The thermostat is new; the cut-out that the heat tripped is still out."""
    cart = read_model(shipped_models()["workshop-power-cart"])
    reports = ("run light", "overheat light")
    colleague = Colleague(cart, {"fan_thermostat.stays_open"}, "long_run", reports)
    session = begin(cart, Lines())
    while not any(repair.proof == "failed" for repair in session.desk.state.repairs):
        session.take(colleague.answer(session))
    return session


def test_what_is_only_latched_is_reset() -> None:
    session = after_a_proof_that_failed()
    found = service(session.desk)
    assert found is not None
    assert found[0].name == "reset_cutout"


def test_without_room_to_tell_none_is_proposed(monkeypatch: pytest.MonkeyPatch) -> None:
    session = after_a_proof_that_failed()

    def too_large(*_: object) -> None:
        raise TooLarge("too large")

    monkeypatch.setattr(Belief, "chances_of", too_large)
    assert service(session.desk) is None
    assert session.question().prompt
