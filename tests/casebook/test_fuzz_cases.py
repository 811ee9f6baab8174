"""Whatever is done to a valid case: reading ends in a case or in an error, checking in findings, never in a traceback."""

from __future__ import annotations

import tempfile
import unicodedata
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from faultiso.casebook.checking import check_case
from faultiso.casebook.load import Loaded, load_case, load_case_text
from tests.casebook.frame import DARK, MODELS, SMALL, told

TEXT = SMALL.read_text("utf-8")
LINES = TEXT.splitlines(keepends=True)
WORDS = sorted(set(TEXT.translate(str.maketrans("{}[],:", "      ")).split()))
SIGNS = list("{}[]:,-#&*!|>'\"%@`<>?~ \n\t\0\x07\x85\u2028é\U0001f527")
ODD = [
    "-1",
    "1e999",
    "''",
    "nk",
    "[]",
    "{}",
    "yes",
    "beyond_model: yes",
    "refer",
    "2,7 psi",
    "9" * 50,
    "../small.yaml",
    ".",
]


def judged(loaded: Loaded) -> None:
    """What must hold of everything that can be read."""
    assert (loaded.case is None) == bool(loaded.errors)
    for problem in loaded.problems:
        assert problem.message and problem.where.file
        assert len(problem.message) < 1000
    assert not {sign for sign in told(loaded) if sign != "\n" and unicodedata.category(sign) in ("Cc", "Cf")}
    if loaded.case is not None and loaded.model is not None:
        assert check_case(loaded.case, loaded.model) is not None


@given(st.sampled_from([SMALL, DARK]), st.data())
def test_a_case_that_was_cut_short(path: Path, data: st.DataObject) -> None:
    text = path.read_text("utf-8")
    judged(load_case_text(text[: data.draw(st.integers(0, len(text)))], path.name, MODELS))


@given(st.data())
def test_bytes_are_changed(data: st.DataObject) -> None:
    spoilt = bytearray(TEXT.encode())
    for _ in range(data.draw(st.integers(1, 8))):
        spoilt[data.draw(st.integers(0, len(spoilt) - 1))] = data.draw(st.integers(0, 255))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "small.yaml"
        path.write_bytes(bytes(spoilt))
        judged(load_case(path, MODELS))


@given(st.data())
def test_lines_are_left_out_doubled_and_moved(data: st.DataObject) -> None:
    lines = list(LINES)
    for _ in range(data.draw(st.integers(1, 5))):
        place, other = (data.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        change = data.draw(st.sampled_from(["leave out", "double", "move", "indent"]))
        if change == "leave out":
            del lines[place]
        elif change == "double":
            lines.insert(other, lines[place])
        elif change == "move":
            lines.insert(other, lines.pop(place))
        else:
            lines[place] = " " * data.draw(st.integers(1, 4)) + lines[place]
    judged(load_case_text("".join(lines), "small.yaml", MODELS))


@given(st.data())
def test_words_and_signs_are_exchanged(data: st.DataObject) -> None:
    text = TEXT
    for _ in range(data.draw(st.integers(1, 6))):
        old = data.draw(st.sampled_from(WORDS))
        new = data.draw(st.sampled_from(WORDS) | st.sampled_from(SIGNS) | st.sampled_from(ODD) | st.just(""))
        places = [place for place in range(len(text)) if text.startswith(old, place)]
        if places:
            place = data.draw(st.sampled_from(places))
            text = text[:place] + new + text[place + len(old) :]
    judged(load_case_text(text, "small.yaml", MODELS))


@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    judged(load_case_text(text, "small.yaml", MODELS))
    judged(load_case_text(TEXT + text, "small.yaml", MODELS))
