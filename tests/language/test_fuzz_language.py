"""Whatever is done to a valid model: reading ends in a model or in an error, never in a traceback."""

from __future__ import annotations

import tempfile
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.language.load import Loaded, load, load_text
from tests.language.frame import HEAD, SMALL, told

TEXT = SMALL.read_text("utf-8")
LINES = TEXT.splitlines(keepends=True)
TOKENS = sorted(set(TEXT.replace("{", " ").replace("}", " ").replace(",", " ").replace(":", " ").split()))
SIGNS = list("{}[]:,-#&*!|>'\"%@`<>?~ \n\t\0\x07\x85\u2028é\U0001f527")


def judged(loaded: Loaded) -> None:
    """What must hold of everything that can be read."""
    assert (loaded.model is None) == bool(loaded.errors)
    for problem in loaded.problems:
        assert problem.message
        assert problem.where.file
        assert len(problem.message) < 1000
    assert not {sign for sign in told(loaded) if sign != "\n" and unicodedata.category(sign) in ("Cc", "Cf")}


@given(st.data())
def test_bytes_are_changed(data):
    changed = bytearray(TEXT.encode())
    for _ in range(data.draw(st.integers(1, 8))):
        changed[data.draw(st.integers(0, len(changed) - 1))] = data.draw(st.integers(0, 255))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "model.yaml"
        path.write_bytes(bytes(changed))
        judged(load(path))


@given(st.data())
def test_lines_are_left_out_doubled_and_moved(data):
    lines = list(LINES)
    for _ in range(data.draw(st.integers(1, 6))):
        place, other = (data.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        change = data.draw(st.sampled_from(["leave out", "double", "move", "indent", "cut"]))
        if change == "leave out":
            del lines[place]
        elif change == "double":
            lines.insert(other, lines[place])
        elif change == "move":
            lines.insert(other, lines.pop(place))
        elif change == "indent":
            lines[place] = " " * data.draw(st.integers(1, 4)) + lines[place]
        else:
            lines[place] = lines[place][: data.draw(st.integers(0, len(lines[place])))] + "\n"
    judged(load_text("".join(lines)))


@given(st.data())
def test_words_and_signs_are_exchanged(data):
    text = TEXT
    for _ in range(data.draw(st.integers(1, 6))):
        old = data.draw(st.sampled_from(TOKENS))
        new = data.draw(st.sampled_from(TOKENS) | st.sampled_from(SIGNS) | st.just(""))
        places = [place for place in range(len(text)) if text.startswith(old, place)]
        if places:
            place = data.draw(st.sampled_from(places))
            text = text[:place] + new + text[place + len(old) :]
    judged(load_text(text))


def flow(value: Any) -> str:
    """A value in brackets and braces, words as they come."""
    if isinstance(value, list):
        return f"[{', '.join(flow(item) for item in value)}]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {flow(item)}" for key, item in value.items()) + "}"
    return str(value)


WORDS = st.sampled_from(
    [*TOKENS, "-1", "1e999", "''", "yes", "when", "then", "like", "gives", "reads", "<n>", "a.b"]
)
VALUES = st.recursive(
    WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(WORDS, VALUES, max_size=6))
def test_random_trees(tree):
    judged(load_text(HEAD + "".join(f"{key}: {flow(value)}\n" for key, value in tree.items())))


PATHS = [
    "conditions: {{a: {}}}", "conditions: {{a: {{values: [x, y], to: {}}}}}", "situations: {{a: {}}}",
    "components: {{a: {{faults: {{b: {}}}}}}}", "quantities: {{a: {{levels: [x, y], rules: [{}]}}}}",
    "quantities: {{a: {{levels: [x, y], causes: [{}]}}}}", "quantities: {{a: {}}}",
    "components: {{p: {{faults: {{w: {{rate: 1e-5}}}}}}}}\n"
    "quantities: {{a: {{levels: [x, y], causes: [{{fault: p.w, gives: {}}}]}}}}",
    "indications: {{a: {{kind: light, rules: {}}}}}", "indications: {{a: {}}}", "checks: {{a: {}}}",
    "checks: {{a: {{outcomes: [x, y], rules: [{{then: x}}], swaps: {}}}}}", "repairs: {{a: {}}}", "flow: {}",
    "repairs: {{a: {{clears: {}}}}}", "deferrals: {{a: {}}}", "templates: {{a: {}}}", "uses: {}", "include: {}",
    "templates: {{a: {{parameters: {}, zones: {{z<n>: {{}}}}}}}}\nuses: [{{template: a, n: 1}}]",
]  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
@settings(max_examples=25)
@given(value=VALUES)
def test_a_random_value_at_every_place(path, value):
    judged(load_text(HEAD + path.format(flow(value))))


@given(st.text(max_size=200))
def test_any_text(text):
    judged(load_text(text))
    judged(load_text(HEAD + text))
