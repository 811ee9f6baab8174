"""A whole model: its parts by name, look-ups, nothing computed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from faultiso.base.problems import Where
from faultiso.model.parts import (
    NOWHERE,
    Caution,
    Check,
    Component,
    Condition,
    Deferral,
    Fault,
    Indication,
    Link,
    Place,
    Quantity,
    Repair,
    Situation,
)


@dataclass(frozen=True)
class Review:
    """Who wrote and who reviewed it, and in which state it is; ``where`` is the line of the state."""

    author: str = ""
    reviewer: str = ""
    state: Literal["draft", "reviewed", "withdrawn"] = "draft"
    version: str = ""
    syllabus: str = ""
    where: Where = NOWHERE


@dataclass(frozen=True)
class Model:
    """One system of an invented aircraft, of a training rig, or a generic one.

    The mappings keep the order of the file. ``digest`` is the SHA-256 of the text that it was read from
    (all its files), so that a session can name exactly what it was worked with.
    """

    name: str
    title: str
    subject: Literal["invented", "training_rig", "generic"]
    about: str = ""
    one_fault: bool = False
    flight_hours_at_risk: float = 100.0
    refer_minutes: float = 480.0
    review: Review = Review()
    conditions: Mapping[str, Condition] = field(default_factory=dict)
    situations: Mapping[str, Situation] = field(default_factory=dict)
    components: Mapping[str, Component] = field(default_factory=dict)
    quantities: Mapping[str, Quantity] = field(default_factory=dict)
    indications: Mapping[str, Indication] = field(default_factory=dict)
    checks: Mapping[str, Check] = field(default_factory=dict)
    repairs: Mapping[str, Repair] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    zones: Mapping[str, Place] = field(default_factory=dict)
    access: Mapping[str, Place] = field(default_factory=dict)
    equipment: Mapping[str, Place] = field(default_factory=dict)
    people: Mapping[str, Place] = field(default_factory=dict)
    flow: tuple[Link, ...] = ()
    deferrals: Mapping[str, Deferral] = field(default_factory=dict)
    file: str = ""
    digest: str = ""

    @cached_property
    def faults(self) -> Mapping[str, Fault]:
        """Every fault by its full name, "component.fault"."""
        return {fault.name: fault for part in self.components.values() for fault in part.faults}

    @cached_property
    def start(self) -> Mapping[str, str]:
        """The value of every condition before anybody has touched anything."""
        return {condition.name: condition.start for condition in self.conditions.values()}

    def signs(self) -> Iterator[Indication | Check]:
        """Everything that can be observed: the indications, then the checks."""
        yield from self.indications.values()
        yield from self.checks.values()
