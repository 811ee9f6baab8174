"""A model as one JSON document, for programs that do not read YAML.

Keys at the top: ``notice``, ``name``, ``title``, ``subject``, ``about``, ``one_fault``,
``flight_hours_at_risk``, ``refer_minutes``, ``review``, ``digest``, ``flow`` (a list of ``source``,
``target``, ``carries``), and by name: ``conditions``, ``situations``, ``components`` (with their ``faults``),
``quantities``, ``indications``, ``checks``, ``repairs``, ``cautions``, ``zones``, ``access``, ``equipment``,
``people``, ``deferrals``. Inside, every part has the keys of its class in `faultiso.model.parts`; what is
empty, zero, false or not stated is left out. Templates are written out; there is no way back to YAML.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from faultiso.base.notice import full_notice
from faultiso.base.text import clean
from faultiso.model.system import Model

#: Places in files say nothing to another program, and paths nothing on another machine.
_LEFT_OUT = frozenset(("where", "file"))


def model_json(model: Model) -> str:
    """The document: ASCII, indented, ending in a newline."""
    data = {"notice": full_notice(model.subject), **_plain(model)}
    return json.dumps(data, ensure_ascii=True, allow_nan=False, indent=2) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return clean(value, 100_000)
    if is_dataclass(value):
        pairs = ((field.name, getattr(value, field.name)) for field in fields(value))
        return {key: _plain(part) for key, part in pairs if key not in _LEFT_OUT and not _empty(part)}
    if isinstance(value, Mapping):
        return {clean(str(key)): _plain(part) for key, part in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(part) for part in value]
    return value


def _empty(value: Any) -> bool:
    return value is None or value is False or value == "" or value == 0 or value == () or value == {}
