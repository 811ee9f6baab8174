"""The JSON Schema is a valid one, and takes what the loader takes."""

from __future__ import annotations

import json
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from faultiso.language.load import load_text
from faultiso.language.schema import json_schema
from faultiso.language.shipped import shipped_models
from tests.language.frame import HEAD, SMALL

VALID = [SMALL, *sorted(shipped_models().values())]
VALIDATOR = Draft202012Validator(json_schema())


def as_json(value: Any) -> Any:
    """Keys of JSON are texts; YAML may have read some of them as something else."""
    if isinstance(value, dict):
        return {str(key): as_json(item) for key, item in value.items()}
    return [as_json(item) for item in value] if isinstance(value, list) else value


def test_it_is_a_schema():
    Draft202012Validator.check_schema(json_schema())
    assert json.loads(json.dumps(json_schema())) == json_schema()


@pytest.mark.parametrize(
    "loader", [yaml.CBaseLoader, yaml.CSafeLoader], ids=["as text", "as an editor reads it"]
)
@pytest.mark.parametrize("path", VALID, ids=lambda path: path.stem)
def test_valid_models(path, loader):
    value = as_json(yaml.load(path.read_text("utf-8"), loader))
    assert [error.message for error in VALIDATOR.iter_errors(value)] == []


@pytest.mark.parametrize(
    "line",
    [
        "subject: aircraft",
        "conditions: {motor: {valuess: [off]}}",
        "conditions: {motor: {}}",
        "zones: {left: {colour: red}}",
        "conditions: {Motor 1: {values: [off]}}",
        "components: {pump: {faults: {worn: {rate: often}}}}",
        "components: {pump: {faults: {worn: {rate: 2}}}}",
        "components: {pump: {replaceable: perhaps}}",
        "quantities: {a: {levels: [ok, low], leak: {low: 1.5}}}",
        "indications: {a: {kind: lamp, outcomes: [lit, out]}}",
        "indications: {a: {kind: light, outcomes: [lit, out], delay: 20}}",
        "templates: {a: {parts: {}}}",
        "uses: [{n: 1}]",
        "flow: pump",
    ],
)
def test_what_the_loader_refuses_in_shape_the_schema_refuses(line):
    """One mistake in one line, told by both."""
    text = HEAD + line if "subject" not in line else HEAD.replace("subject: invented", line)
    assert load_text(text).errors
    assert list(VALIDATOR.iter_errors(as_json(yaml.load(text, yaml.CSafeLoader))))


def test_every_field_tells_editors_what_it_means():
    def undescribed(schema: Any, way: str) -> list[str]:
        if isinstance(schema, list):
            return [found for inner in schema for found in undescribed(inner, way)]
        if not isinstance(schema, dict):
            return []
        bare = [
            f"{way}.{name}"
            for name, inner in schema.get("properties", {}).items()
            if not inner.get("description")
        ]
        deeper = [
            undescribed(inner, f"{way}.{name}") for name, inner in schema.items() if name != "templates"
        ]
        return bare + [name for names in deeper for name in names]

    properties = {
        name: inner
        for name, inner in json_schema()["properties"].items()
        if name not in ("templates", "uses")
    }
    assert undescribed({"properties": properties}, "") == []
