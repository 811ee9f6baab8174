"""Small models that several tests of reasons and advice share."""

from __future__ import annotations

from collections.abc import Sequence

from faultiso.belief.reasoner import Reasoner
from faultiso.model.system import Model

from ..semantics import small


def chain(rates: Sequence[float]) -> Model:
    """Stages in a row, each fed by the one before; a light at the end, and a check behind each stage.

    The light is dark while the power is off, and when it is broken itself.
    """
    count = len(rates)
    lines = ["conditions: {power: {values: [on, off]}}", "components:"]
    lines += [f"  unit_{n}: {{faults: {{dead: {{rate: {rate}}}}}}}" for n, rate in enumerate(rates, 1)]
    lines += ["  lamp: {faults: {broken: {rate: 1e-4}}}", "quantities:"]
    for n in range(1, count + 1):
        rules = f"{{when: {{unit_{n}.dead: present}}, then: bad}}"
        if n > 1:
            rules += f", {{when: {{stage_{n - 1}: bad}}, then: bad}}"
        lines.append(f"  stage_{n}: {{levels: [good, bad], rules: [{rules}, {{then: good}}]}}")
    lines += [
        "indications:",
        "  alarm:",
        "    kind: light",
        "    outcomes: [out, lit]",
        "    misread: 0.01",
        "    rules:",
        "      - {when: {lamp.broken: present}, then: out}",
        "      - {when: {power: off}, then: out}",
        f"      - {{when: {{stage_{count}: bad}}, then: lit}}",
        "      - {then: out}",
        "checks:",
    ]
    for n in range(1, count):
        lines.append(
            f"  check_{n}: {{title: check {n}, reads: stage_{n}, minutes: 5, miss: 0.05, false_alarm: 0.02}}"
        )
    lines += ["flow:", "  - [" + ", ".join(f"unit_{n}" for n in range(1, count + 1)) + "]"]
    return small.model("\n".join(lines))


def chain_reasoner(*rates: float) -> Reasoner:
    return Reasoner(chain(rates))


#: two faults that share a light; one check sees both, one only the first, one only the second
TWINS = """
    conditions:
      heater: {values: [off, on]}
      place: {values: [ground, air], settable: no}
    components:
      pump: {faults: {worn: {rate: 0.05}}}
      valve: {faults: {stuck: {rate: 0.04}}}
      switch: {faults: {sticks: {rate: 0.01}}}
    quantities:
      pressure:
        levels: [normal, low]
        causes:
          - {fault: pump.worn, gives: {low: 0.9}}
          - {fault: valve.stuck, gives: {low: 0.8}}
        leak: {low: 0.01}
      pump_case:
        levels: [cold, hot]
        causes: [{fault: pump.worn, gives: {hot: 0.9}}]
      temperature:
        levels: [normal, high]
        rules:
          - {when: {heater: off}, then: normal}
        causes: [{fault: valve.stuck, gives: {high: 0.5}}]
    indications:
      caution:
        kind: light
        outcomes: [out, lit]
        misread: 0.01
        rules:
          - {when: {temperature: high}, then: lit}
          - {when: {place: air}, then: out}
          - {when: {pressure: low}, then: lit}
          - {then: out}
      stuck_light:
        kind: light
        outcomes: [out, lit]
        rules:
          - {when: {switch.sticks: present}, then: lit}
          - {when: {place: ground}, then: out}
          - {when: {pressure: low}, then: lit}
          - {then: out}
    checks:
      gauge: {title: gauge, reads: pressure, minutes: 5, miss: 0.05, false_alarm: 0.02}
      case: {title: feel of the case, reads: pump_case, minutes: 15, miss: 0.05, false_alarm: 0.02}
      valve_look: {title: look at the valve, reads: valve.stuck, minutes: 20, miss: 0.05, false_alarm: 0.02}
"""


def twins() -> Reasoner:
    return Reasoner(small.model(TWINS))
