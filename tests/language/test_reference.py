"""The reference and the loader say the same: its examples are well formed, every key stands in it."""

from __future__ import annotations

import re
import textwrap
from importlib.resources import files

import pytest

from faultiso.language import lints, shape
from faultiso.language.groups import Either, ListOf, Record, Table
from faultiso.language.load import load_text
from tests.language.frame import HEAD

REFERENCE = (files("faultiso") / "language" / "reference.md").read_text("utf-8")
BLOCKS = [
    textwrap.dedent(found[0]).strip()
    for found in re.finditer(r"(?:^ {4}.*\n|^\n(?= {4}))+", REFERENCE, re.MULTILINE)
]
ONLY_NAMES = {"name", "level", "parameter", "include"} | {*lints.ESSENTIAL, *lints.THOROUGH}


def test_there_are_examples_of_every_section():
    assert len(BLOCKS) >= 11


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block.split(":")[0])
def test_examples_are_well_formed(block):
    head = "" if block.startswith("model:") else HEAD
    wrong = [problem for problem in load_text(head + block).problems if problem.code not in ONLY_NAMES]
    assert [str(problem) for problem in wrong] == []


def keys(kind):
    """All keys that a kind of value can have, at any depth."""
    if isinstance(kind, Record):
        for name, field in kind.fields.items():
            yield name
            yield from keys(field.kind)
    elif isinstance(kind, ListOf):
        yield from keys(kind.item)
    elif isinstance(kind, Table):
        yield from keys(kind.value)
    elif isinstance(kind, Either):
        yield from keys(kind.group)
        yield from keys(kind.other)


@pytest.mark.parametrize("key", sorted(set(keys(shape.MODEL))))
def test_every_key_stands_in_the_reference(key):
    assert re.search(rf"\b{key}\b", REFERENCE)


@pytest.mark.parametrize("code", lints.ESSENTIAL + lints.THOROUGH)
def test_every_lint_stands_in_the_reference(code):
    assert f"`{code}`" in REFERENCE
