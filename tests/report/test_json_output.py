"""The document for programs."""

from __future__ import annotations

import json
import math

from hypothesis import given
from hypothesis import strategies as st

from faultiso.report.json_output import document

VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(st.characters(codec=None, exclude_categories=())),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@given(VALUES)
def test_it_is_one_ascii_document_with_the_notice(value: object) -> None:
    text = document({"value": value}, "training_rig")
    assert text.isascii() and text.endswith("}\n")
    read = json.loads(text, parse_constant=lambda word: pytest_fail(word))
    assert read["notice"].startswith("Training aid about a training rig; not approved maintenance data.")
    assert list(read) == ["value", "notice"]


def pytest_fail(word: str) -> None:
    raise AssertionError(f"{word} is no JSON")


def test_numbers_without_a_word_become_null_and_text_is_cleaned() -> None:
    read = json.loads(document({"a": [math.nan, math.inf, 1.5], "b": "x\x1b[31m\ud800", "c": {"t": (1, 2)}}))
    assert read["a"] == [None, None, 1.5]
    assert read["b"] == "x?"
    assert read["c"] == {"t": [1, 2]}
