"""A small system drawn by hand: two zones, five media, a return line, a branch, one part without flow."""

from __future__ import annotations

from faultiso.model.parts import (
    Cause,
    Check,
    Component,
    Condition,
    Fault,
    Indication,
    Link,
    Place,
    Quantity,
    Repair,
    Response,
    Rule,
    Situation,
    Work,
)
from faultiso.model.system import Model


def _component(name: str, title: str, zone: str, *faults: str, replaceable: bool = True) -> Component:
    made = tuple(Fault(f"{name}.{fault}", fault.replace("_", " "), name, 1e-6) for fault in faults)
    return Component(name, title, replaceable=replaceable, zone=zone, faults=made)


def _by_name(*parts):
    return {part.name: part for part in parts}


def small_cart() -> Model:
    """Tank, pump, filter, users and back; a motor that turns the pump; a switch and a lamp."""
    worn = Cause("pump.worn", (Response({}, {"present": {"low": 0.9}}),))
    flow = [("tank", "pump"), ("pump", "filter"), ("filter", "users"), ("users", "tank")]
    flow += [("pump", "relief"), ("relief", "tank")]
    links = [Link(source, target) for source, target in flow]
    links += [Link("supply", "motor", "power"), Link("motor", "pump", "shaft")]
    links += [
        Link("pump", "switch", "signal"),
        Link("switch", "lamp", "signal"),
        Link("blower", "tank", "air"),
    ]
    return Model(
        name="small-cart",
        title="small cart",
        subject="training_rig",
        conditions=_by_name(Condition("run", "selector", ("stopped", "running"), "stopped")),
        situations=_by_name(
            Situation("parked", "parked", {"run": "stopped"}),
            Situation("at_work", "at work", {"run": "running"}),
        ),
        components=_by_name(
            _component("tank", "tank", "wet", replaceable=False),
            _component("pump", "gear pump with a long title that wants two lines", "wet", "worn", "sheared"),
            _component("filter", "pressure filter", "wet", "clogged"),
            _component("relief", "relief valve", "wet", "weak"),
            _component("users", "whatever hangs on the hose", "wet", replaceable=False),
            _component("supply", "supply <230 V & earth>", "dry"),
            _component("motor", "motor", "dry"),
            _component("switch", "low-pressure switch", "dry"),
            _component("lamp", "lamp", "dry", "dead"),
            _component("blower", "blower", "dry"),
            _component("sticker", "sticker", "dry", replaceable=False),
        ),
        zones=_by_name(Place("wet", "wet side"), Place("dry", "dry side")),
        quantities=_by_name(
            Quantity(
                "pressure",
                "pump pressure",
                ("normal", "low", "none"),
                rules=(
                    Rule({"run": ("stopped",)}, "none"),
                    Rule({"pump.sheared": ("present",)}, "none"),
                ),
                causes=(worn, Cause("relief.weak", (Response({}, {"present": {"low": 0.7}}),))),
                leak={"low": 0.001},
                unit="psi",
                ranges={"normal": (1900, 2100), "low": (300, 1850), "none": (0, 50)},
            )
        ),
        indications=_by_name(
            Indication(
                "light",
                "low pressure light",
                "light",
                ("out", "lit"),
                (
                    Rule({"lamp.dead": ("present",)}, "out"),
                    Rule({"run": ("stopped",)}, "out"),
                    Rule({"pressure": ("low", "none")}, "lit"),
                    Rule(then="out"),
                ),
                memory="latched",
                delay=5,
            )
        ),
        checks=_by_name(
            Check(
                "gauge",
                "port gauge",
                ("normal", "low", "none"),
                (Rule(like="pressure"),),
                Work(minutes=8, needs=({"run": ("running",)},)),
                miss=0.01,
            ),
            Check(
                "look",
                "look at the filter button",
                ("in", "out"),
                (Rule({"filter.clogged": ("present",)}, "out"), Rule(then="in")),
                Work(minutes=2),
            ),
        ),
        repairs=_by_name(
            Repair(
                "replace_pump",
                "replace the pump",
                ("pump.worn", "pump.sheared"),
                Work(minutes=180),
                component="pump",
            )
        ),
        flow=tuple(links),
    )
