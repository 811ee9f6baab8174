"""What is written can be read again, word for word, and an editor reads the same."""

from __future__ import annotations

from typing import Any

import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from faultiso.base.text import clean
from faultiso.casebook.load import load_case_text
from faultiso.casebook.making.written import case_text, flow, line
from faultiso.casebook.shape import CASE
from tests.casebook.frame import MODELS, SMALL

texts = st.text(min_size=1, max_size=150).map(clean).filter(lambda text: text.strip())
awkward = st.sampled_from(
    [
        "yes",
        "No",
        "0.1",
        "1e5",
        "a: b",
        "a #b",
        "- a",
        "it's",
        '"a"',
        "a\nb",
        "null",
        "{a}",
        "5 psi",
        "2,700",
        "29-10",
    ]
)


def read(text: str) -> Any:
    """What an editor takes it for, names and numbers included."""
    return yaml.load(text, yaml.CSafeLoader)


@given(texts | awkward)
@example("a  b")
@example("  lead")
def test_a_text_is_read_as_it_was_written(text: str) -> None:
    for written in (flow(text), line(text)):
        assert read(f"key: {written}\n") == {"key": text}
    assert read(f"key: [{flow(text)}, {flow(text)}]\n") == {"key": [text, text]}
    assert read(f"key: {{{flow(text)}: {flow(text)}}}\n") == {"key": {text: text}}


@given(st.fixed_dictionaries(dict.fromkeys(("title", "write_up", "good_solution", "notes"), texts | awkward)))
def test_a_whole_case_too(values: dict[str, str]) -> None:
    base = read(SMALL.read_text("utf-8"))
    text = case_text({**base, **values})
    assert read(text) == {**base, **values}
    loaded = load_case_text(text, "small.yaml", MODELS)
    shape = [problem for problem in loaded.problems if problem.code in ("shape", "syntax", "unknown_key")]
    assert shape == []
    if loaded.case:
        assert {key: getattr(loaded.case, key) for key in values} == values


def test_keys_stand_in_the_order_of_the_reference_and_long_texts_are_folded() -> None:
    base = read(SMALL.read_text("utf-8"))
    long = "Word by word. " * 20
    lines = case_text({**base, "good_solution": long.strip()}, "training_rig").splitlines()
    assert "not approved maintenance data" in lines[0]
    assert lines[lines.index("good_solution: >-") + 1].startswith("  Word by word.")
    assert max(map(len, lines)) <= 115
    keys = [entry.split(":")[0] for entry in lines if entry[0].isalpha()]
    assert keys == list(read("\n".join(lines)))


def test_what_must_be_there_and_is_not_stands_as_a_comment() -> None:
    text = case_text({"case": "draft", "state": "draft"}, missing=True)
    assert read(text) == {"case": "draft", "state": "draft"}
    required = {key for key, field in CASE.fields.items() if field.required} - {"case"}
    assert all(f"# {key}:   # " in text for key in required)


def test_every_key_of_a_case_can_be_written() -> None:
    values = dict.fromkeys(CASE.fields, "text")
    assert set(read(case_text({**values, "seen": [], "says": {}}))) >= set(values) - {"seen", "says"}
