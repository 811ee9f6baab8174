"""The shape of a model file as JSON Schema, for editors: completion, hints and a first check while typing."""

from __future__ import annotations

from typing import Any

from faultiso.language.shape import MODEL
from faultiso.language.templates import SECTIONS

_LOOSE = {"type": ["object", "array", "string", "number", "boolean", "null"]}


def json_schema() -> dict[str, Any]:
    """Draft 2020-12. Sections inside templates are taken as they come: their names still hold ``<n>``."""
    schema = MODEL.schema()
    schema["properties"] |= {"include": _include(), "templates": _templates(), "uses": _uses()}
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "faultiso model"}
    return head | {"description": "A training aid; not approved maintenance data."} | schema


def _include() -> dict[str, Any]:
    name = {"type": "string", "pattern": r"^[A-Za-z0-9][A-Za-z0-9_. -]*\.ya?ml$"}
    return {"anyOf": [{"type": "array", "items": name}, name], "description": "files beside this one"}


def _templates() -> dict[str, Any]:
    text = {"type": "string"}
    parameters = {"anyOf": [{"type": "array", "items": text}, text], "description": "what <...> stands for"}
    properties = {"parameters": parameters} | dict.fromkeys(SECTIONS, _LOOSE)
    template = {"type": "object", "properties": properties, "additionalProperties": False}
    return {"type": "object", "additionalProperties": template, "description": "similar things written once"}


def _uses() -> dict[str, Any]:
    value = {"type": ["string", "number", "boolean"]}
    use = {"type": "object", "properties": {"template": {"type": "string"}}, "required": ["template"]}
    use |= {"additionalProperties": value}
    return {"anyOf": [{"type": "array", "items": use}, use], "description": "uses of templates"}
