"""What is the same whatever was before: nothing remembered, latched or intermittent among its causes."""

from __future__ import annotations

from faultiso.model.timeless import timeless
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


def test_what_hangs_on_the_past_or_on_the_visit_is_not_timeless() -> None:
    assert timeless(small.model(PARTS)) == {"pressure", "gauge", "pressure_check", "pump_look"}
