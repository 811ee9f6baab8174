"""Small models whose judgement can be seen by looking."""

from __future__ import annotations

#: a lamp that a worn pump or its own switch lights; a filter nobody sees; a horn and a bell that say the same
RIG = """
conditions: {power: {values: [off, on], start: off}}
situations:
  off: {title: at rest, set: {power: off}}
  running: {title: running, set: {power: on}}
components:
  pump: {title: pump, replaceable: true, faults: {worn: {rate: 2e-3}, seized: {rate: 1e-3}}}
  switch: {title: switch, replaceable: true, faults: {stuck: {rate: 1e-3}}}
  filter: {title: filter, replaceable: true, faults: {torn: {rate: 1e-3}, bypassing: {rate: 1e-3}}}
quantities:
  pressure:
    levels: [normal, low]
    rules:
      - {when: {power: off}, then: normal}
      - {when: {pump.worn: present}, then: low}
      - {when: {pump.seized: present}, then: low}
  dirt:
    levels: [clean, dirty]
    rules: [{when: {filter.torn: present}, then: dirty}]
indications:
  lamp:
    kind: light
    outcomes: [out, lit]
    rules:
      - {when: {power: off}, then: out}
      - {when: {switch.stuck: present}, then: lit}
      - {when: {pressure: low}, then: lit}
      - {then: out}
  second_lamp: {kind: light, outcomes: [out, lit], rules: [{when: {pressure: low}, then: lit}, {then: out}]}
  dead_lamp: {kind: light, outcomes: [out, lit], rules: [{then: out}]}
checks:
  sample: {reads: dirt, minutes: 10}
  thermometer: {minutes: 5, outcomes: [cold, hot], rules: [{then: cold}], false_alarm: 0.1}
repairs:
  replace_pump: {clears: [pump.worn, pump.seized], component: pump, minutes: 60}
  replace_switch: {clears: [switch.stuck], component: switch, minutes: 20}
  replace_filter: {clears: [filter.torn, filter.bypassing], component: filter, minutes: 30}
"""

#: the lamp alone: a switch that sticks costs a good pump
MISLEADING = """
components:
  pump: {title: pump, replaceable: true, faults: {worn: {rate: 5e-3}}}
  switch: {title: switch, replaceable: true, faults: {stuck: {rate: 1e-3}}}
quantities:
  pressure: {levels: [normal, low], rules: [{when: {pump.worn: present}, then: low}]}
indications:
  lamp:
    kind: light
    outcomes: [out, lit]
    rules: [{when: {switch.stuck: present}, then: lit}, {when: {pressure: low}, then: lit}, {then: out}]
repairs:
  replace_pump: {clears: [pump.worn], component: pump, minutes: 60}
  replace_switch: {clears: [switch.stuck], component: switch, minutes: 60}
"""
