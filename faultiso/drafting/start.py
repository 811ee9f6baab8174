"""The beginning of a model, from a few answers: one unit, one light or gauge, one check; to be edited."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from string import Template

from faultiso.base.notice import Subject, full_notice
from faultiso.base.text import wrap
from faultiso.casebook.making.written import WIDTH, flow, line
from faultiso.drafting.naming import Names, identifier

#: kind of an indication -> words in its title by which it is known, what it shows as usual, what otherwise
KINDS = {
    "light": ("light lamp led lantern warning caution", "out", "lit"),
    "gauge": ("gauge dial meter display reading glass", "normal", "low"),
    "message": ("message text code", "absent", "shown"),
    "sound": ("sound noise hum rattle horn tone whine", "silent", "heard"),
    "button": ("button flag", "in", "out"),
    "trace": ("trace leak drip puddle stain smoke", "none", "found"),
    "feel": ("feel vibration shaking travel", "usual", "unusual"),
}
#: how something may stand, and how else
_OPPOSITES = {
    "stopped": "running", "off": "on", "closed": "open", "open": "closed", "out": "in", "in": "out",
    "up": "down", "down": "up", "released": "set", "set": "released", "disconnected": "connected",
    "isolated": "connected", "unloaded": "loaded", "empty": "full", "cold": "warm", "idle": "working",
}  # fmt: skip
#: begin a line of the template that is there only where a condition was named, or only where none was
_OF_CONDITION, _OF_NONE = "?", "!"


@dataclass(frozen=True)
class Answers:
    """What the person said. ``dark``: when the indication is quiet on purpose, "" for never."""

    title: str
    unit: str
    indication: str
    dark: str = ""
    subject: Subject = "training_rig"


def kind_of(title: str) -> str:
    """The kind of an indication by the last word of its title that tells one, "" if none does."""
    for word in reversed(re.split(r"[^\w-]+", title.casefold())):
        for kind, (known, _, _) in KINDS.items():
            if word and word.removesuffix("s") in known.split():
                return kind
    return ""


def start_text(answers: Answers, name: str, schema: str) -> str:
    """The text of the model file, valid and without a warning.

    ``name``: of the model, as its file is called; ``schema``: the file of the JSON Schema beside it.
    """
    names = Names()
    condition = _condition(answers.dark, names)
    fields = _head(answers, name, schema) | _parts(answers, names)
    fields |= _of(condition) if condition else {}
    needs = f"needs: {{{condition.name}: {condition.otherwise}}}" if condition else ""
    fields["proved_in"] = ", ".join(filter(None, (needs, f"checks: [{fields['measure']}]")))
    fields["proved_too"] = f", {needs}" if needs else ""
    template = (files("faultiso.drafting") / "start.template").read_text("utf-8")
    kept = "\n".join(_kept(template.splitlines(), condition is not None))
    return Template(kept).substitute(fields) + "\n"


def _kept(lines: list[str], with_condition: bool) -> Iterator[str]:
    for row in lines:
        if not row.startswith((_OF_CONDITION, _OF_NONE)):
            yield row
        elif row.startswith(_OF_CONDITION) == with_condition:
            yield row[2:]


def _head(answers: Answers, name: str, schema: str) -> dict[str, str]:
    return {
        "schema": schema,
        "notice": "\n".join(wrap(full_notice(answers.subject), WIDTH, "# ", "# ")),
        "model": identifier(name, "model", "-"),
        "title": line(answers.title),
        "subject": answers.subject,
    }


def _parts(answers: Answers, names: Names) -> dict[str, str]:
    """Names and titles of the parts."""
    kind = kind_of(answers.indication) or "light"
    unit, sign = names.of(answers.unit, "unit"), names.of(answers.indication, "sign")
    titles = {
        "sensor": f"sensor of the {answers.indication}",
        "output": f"what the {answers.unit} gives",
        "measure": f"measure what the {answers.unit} gives",
        "replace_unit": f"replace the {answers.unit}",
        "replace_sensor": f"replace the sensor of the {answers.indication}",
    }
    named = {
        "sensor": names.of(f"{sign}_sensor", "sensor"),
        "output": names.of(f"{unit}_output", "output"),
        "measure": names.of(f"measure_{unit}", "measure"),
        "replace_unit": names.of(f"replace_{unit}", "replace"),
        "replace_sensor": names.of(f"replace_{sign}_sensor", "replace"),
        "hazard": names.of("mind_this", "hazard"),
    }
    shown = {f"{key}_title": line(title) for key, title in titles.items()}
    own = {
        "unit": unit,
        "unit_title": line(answers.unit),
        "sign": sign,
        "sign_title": line(answers.indication),
    }
    return own | named | shown | {"kind": kind, "usual": KINDS[kind][1], "other": KINDS[kind][2]}


@dataclass(frozen=True)
class _Condition:
    """In which the indication is quiet: name, title, its value then and otherwise."""

    name: str
    title: str
    dark: str
    otherwise: str


def _condition(said: str, names: Names) -> _Condition | None:
    """ "Motor stopped" is the motor, stopped or running; what says nothing of the kind holds, or does not."""
    if not said:
        return None
    *thing, last = said.split()
    opposite = _OPPOSITES.get(last.casefold(), "")
    if opposite and thing:
        title = " ".join(thing)
        return _Condition(names.of(title, "condition"), title, last.casefold(), opposite)
    return _Condition(names.of(said, "condition"), said, "yes", "no")


def _of(condition: _Condition) -> dict[str, str]:
    """What the lines about the condition say."""
    joint = ": " if condition.dark == "yes" else " "
    return {
        "condition": condition.name,
        "condition_title": line(condition.title),
        "dark": condition.dark,
        "otherwise": condition.otherwise,
        "rest_title": flow(f"{condition.title}{joint}{condition.dark}"),
        "work_title": flow(f"{condition.title}{joint}{condition.otherwise}"),
    }
