"""What each part depends on: conditions, faults, what remembers, and whether the visit matters."""

from __future__ import annotations

from faultiso.model.dependence import dependences
from tests.semantics import small

PARTS = """
    conditions:
      air: {values: [smooth, rough]}
    components:
      plug: {faults: {loose: {rate: 0.1, intermittent: {brought_out_by: {air: rough}, share: 0.5}}}}
      pump: {faults: {worn: {rate: 0.1}}}
    quantities:
      pressure: {levels: [normal, low], causes: [{fault: pump.worn, gives: {low: 0.9}}]}
      contact: {levels: [good, bad], causes: [{fault: plug.loose, gives: {bad: 1.0}}]}
      level: {levels: [full, low], remember: yes, causes: [{fault: pump.worn, gives: {low: 0.5}}]}
      flow: {levels: [normal, low], causes: [{quantity: level, gives: {low: {low: 0.5}}}]}
    indications:
      gauge: {kind: gauge, reads: pressure}
      flicker: {kind: light, reads: contact}
      message: {kind: message, reads: pressure, memory: latched}
    checks:
      flow_check: {reads: flow, minutes: 1}
      pressure_check: {reads: pressure, minutes: 1}
      pump_look: {reads: pump.worn, minutes: 1}
      plug_look: {reads: plug.loose, minutes: 1}
"""


def test_what_hangs_on_the_past_or_on_the_visit() -> None:
    found = dependences(small.model(PARTS))
    assert {name for name, needs in found.items() if needs.kept} == {"level", "flow", "flow_check", "message"}
    assert {name for name, needs in found.items() if needs.visits} == {"contact", "flicker", "plug_look"}
    assert found["message"].kept == ("message",)
    assert found["flow_check"].kept == ("level",)


def test_conditions_and_faults_are_found_through_everything_between() -> None:
    found = dependences(small.model(PARTS))
    assert found["flow_check"].faults == ("pump.worn",)
    assert found["flicker"].faults == ("plug.loose",)
    assert found["flicker"].conditions == ("air",)
    assert found["gauge"].conditions == ()
