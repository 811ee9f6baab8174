"""A small rig whose history is learnt from in tests, and short ways to say rows."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from faultiso.belief.evidence import Reading
from faultiso.language.load import load_text
from faultiso.learning.orders import Rows
from faultiso.learning.rows import NOT_SAID, Counted, Evidence, Finding, Row
from faultiso.learning.synthetic import Synthetic
from faultiso.model.system import Model
from faultiso.network.timeline import start

RIG = """\
# a small rig: rates high enough for a short history
model: small-rig
title: small rig
subject: training_rig
flight_hours_at_risk: 100
components:
  pump:
    faults:
      worn: {rate: 1e-3, source: "shop book, p. 3"}   # the usual one
      seal: {rate: 0.0005, source: invented}
  relief:
    faults: {open: {rate: 5.0e-4, source: invented}}
quantities:
  pressure:
    levels: [normal, low]
    causes:
      - {fault: pump.worn, gives: {low: 0.8}}
      - {fault: relief.open, gives: {low: 0.6}}
    leak: {low: 0.02}
  wet:
    levels: [dry, wet]
    causes:
      - {fault: pump.seal, gives: {wet: 0.7}}
indications:
  gauge: {kind: gauge, reads: pressure}
  puddle: {kind: trace, reads: wet}
checks:
  port: {reads: pressure, minutes: 5, miss: 0.05, false_alarm: 0.03}
repairs:
  change_pump: {clears: pump, minutes: 60}
  change_relief: {clears: relief, minutes: 30}
"""


def read(text: str) -> Model:
    loaded = load_text(text, lint=False)
    assert loaded.model is not None, loaded.problems
    return loaded.model


def rig() -> Model:
    return read(RIG)


def levelled(strengths: str = "low: 0.5, none: 0.3") -> Model:
    """The rig with a cause that gives one of several levels."""
    text = RIG.replace("levels: [normal, low]", "levels: [normal, low, none]")
    return read(text.replace("gives: {low: 0.8}", f"gives: {{{strengths}}}"))


def rig_file(folder: Path) -> Path:
    path = folder / "rig.yaml"
    path.write_text(RIG, encoding="utf-8", newline="\n")
    return path


def row(model: Model, finding: Finding = NOT_SAID, **shown: str) -> Row:
    """Readings in the model's start conditions."""
    readings = tuple(Reading(name, outcome=outcome) for name, outcome in shown.items())
    return Row(start(model.start), readings, finding)


def proved(*faults: str) -> Finding:
    return Finding("proved", faults)


def evidence(drawn: Synthetic, model: Model) -> Evidence:
    """The drawn orders as rows, without going through a file."""
    rows = Rows(model)
    counts = Counter(written.order for written in drawn.orders)
    return Evidence(tuple(Counted(rows.row(order), times) for order, times in counts.items()), drawn.hours)
