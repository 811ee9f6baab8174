"""The reference, the shape and the JSON Schema say the same."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from faultiso.casebook.case import ENDS, KINDS, STAGES, VOICES
from faultiso.casebook.library import case_files
from faultiso.casebook.load import load_case_text
from faultiso.casebook.shape import CASE, json_schema
from faultiso.language.groups import Field, ListOf, Record
from tests.casebook.frame import DARK, HERE, MODELS, SMALL

REFERENCE = (files("faultiso") / "casebook" / "reference.md").read_text("utf-8")
BLOCKS = [
    textwrap.dedent(found[0]).strip()
    for found in re.finditer(r"(?:^ {4}.*\n|^\n(?= {4}))+", REFERENCE, re.MULTILINE)
]
VALIDATOR = Draft202012Validator(json_schema())


def test_the_examples_together_are_a_case_in_form() -> None:
    """Only a version that has gone by is told, and what the example leaves to its reader: names of a check."""
    loaded = load_case_text("\n".join(BLOCKS), "first-light.yaml", MODELS)
    wrong = [problem for problem in loaded.problems if problem.code not in ("made_with", "made_there")]
    assert [str(problem) for problem in wrong] == []
    assert loaded.model is not None


def keys(kind: Any) -> Iterator[str]:
    """All keys that a case can have, at any depth."""
    if isinstance(kind, Record):
        for name, field in kind.fields.items():
            yield name
            yield from keys(field.kind)
    elif isinstance(kind, ListOf):
        yield from keys(kind.item)


@pytest.mark.parametrize("key", sorted(set(keys(CASE))))
def test_every_key_stands_in_the_reference(key: str) -> None:
    assert re.search(rf"\b{key}\b", REFERENCE)


@pytest.mark.parametrize("word", [*KINDS, *STAGES, *VOICES, *ENDS])
def test_so_does_every_fixed_word(word: str) -> None:
    assert word in " ".join(REFERENCE.split())


def test_every_field_says_what_it_is() -> None:
    assert all(isinstance(field, Field) and field.about for field in CASE.fields.values())


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(json_schema())
    assert json.loads(json.dumps(json_schema())) == json_schema()


@pytest.mark.parametrize("path", [SMALL, DARK, *case_files().values()], ids=lambda path: path.stem)
@pytest.mark.parametrize("loader", [yaml.CBaseLoader, yaml.CSafeLoader], ids=["as text", "as an editor"])
def test_the_schema_takes_what_is_right(path: Path, loader: Any) -> None:
    value = yaml.load(path.read_text("utf-8"), loader)
    assert [error.message for error in VALIDATOR.iter_errors(value)] == []


@pytest.mark.parametrize(
    "name",
    [
        "unknown-key",
        "missing-keys",
        "stage-and-kind",
        "right-end",
        "seed-with-a-fraction",
        "chapter",
        "not-a-name",
    ],
)
def test_the_schema_refuses_what_is_wrong_in_form(name: str) -> None:
    value = yaml.load((HERE / "bad" / f"{name}.yaml").read_text("utf-8"), yaml.CSafeLoader)
    assert list(VALIDATOR.iter_errors(value))
