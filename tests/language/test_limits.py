"""Nothing that a file can hold makes reading slow, large or loud: bombs, huge and deep files."""

from __future__ import annotations

import subprocess
import sys
import textwrap
import tracemalloc

import pytest

from faultiso.language.load import Loaded, load, load_text
from faultiso.language.nodes import MAX_BYTES
from tests.language.frame import HEAD

LAUGHS = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n"
    for before, name in zip("abcdefgh", "bcdefghi", strict=True)
)
HOSTILE = {
    "a bomb of aliases": LAUGHS,
    "a merge key": HEAD + "zones: {a: &a {title: a}, b: {<<: *a}}\n",
    "ten thousand lists": "about: " + "[" * 10_000 + "]" * 10_000,
    "ten thousand groups": "about: " + "{a: " * 10_000 + "}" * 10_000,
    "ten thousand lists that begin on one line": "- " * 10_000 + "a",
    "ten thousand lists, a line each": "about: " + "[\n" * 10_000,
    "a million items": "about: [" + "a," * 990_000 + "]",
    "a million empty items": "about: [" + "," * 1_900_000 + "]",
    "a million names": HEAD + "zones: {" + ", ".join(f"z{i}: {{}}" for i in range(150_000)) + "}",
    "a name of a million letters": HEAD + "z" * 1_000_000 + ": 1",
    "a text of a million letters": HEAD + "about: " + "z" * 1_000_000,
    "a million open quotes": HEAD + "about: " + "'" * 999_999,
    "a million question marks": "? " * 900_000,
    "a million ampersands": "&a " * 600_000,
    "a number of a million digits": HEAD + "refer_minutes: " + "9" * 1_000_000,
    "a number beyond all bounds": HEAD + "refer_minutes: 1e999999999",
    "a million line ends": "\n" * 1_900_000,
    "a tag that would run a command": "model: !!python/object/apply:os.system ['true']",
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_hostile_text_ends_in_an_error_within_bounds(text):
    loaded, peak = measured(text)
    assert loaded.model is None
    assert loaded.errors
    assert all(len(problem.message) < 600 for problem in loaded.problems)
    assert peak < 100e6


def measured(text: str) -> tuple[Loaded, int]:
    tracemalloc.start()
    try:
        loaded = load_text(text)
        return loaded, tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


BODIES = {
    "names": "zones: {" + ", ".join(f"z{i}_<n>: {{}}" for i in range(900)) + "}",
    "groups": "flow: [" + ", ".join(["{}"] * 900) + "]",
}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_a_template_bomb_is_bounded(body):
    uses = "\n".join(f"  - {{template: many, n: {i}}}" for i in range(2000))
    text = f"{HEAD}templates: {{many: {{parameters: [n], {body}}}}}\nuses:\n{uses}\n"
    loaded, peak = measured(text)
    assert [problem.code for problem in loaded.errors] == ["size"]
    assert "templates make more than" in loaded.errors[0].message
    assert peak < 200e6


def test_a_template_does_not_grow_texts_without_bound():
    text = f'{HEAD}templates: {{t: {{parameters: [n], zones: {{a: {{about: "{"<n>" * 300_000}"}}}}}}}}\n'
    loaded, peak = measured(f"{text}uses: [{{template: t, n: {'x' * 900_000}}}]\n")
    assert loaded.model is None
    assert peak < 100e6


def test_a_template_does_not_repeat_what_it_is_given():
    text = f"{HEAD}templates: {{t: {{parameters: [n], zones: {{<n><n>: {{title: <n>}}}}}}}}\nuses: {{template: t, n: <n>}}"
    assert load_text(text).model is None


def test_a_file_of_100_mb_is_not_read(tmp_path):
    path = tmp_path / "huge.yaml"
    with path.open("wb") as stream:
        stream.truncate(100_000_000)
    tracemalloc.start()
    try:
        loaded = load(path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert [problem.code for problem in loaded.problems] == ["size"]
    assert peak < 10 * MAX_BYTES


def test_the_whole_process_stays_below_500_mb(tmp_path):
    """Also what the C parser takes, which tracemalloc does not see: as a limit of the address space."""
    resource = pytest.importorskip("resource")
    files = []
    for number, text in enumerate(HOSTILE.values()):
        files.append(tmp_path / f"{number}.yaml")
        files[-1].write_text(text, "utf-8")
    program = textwrap.dedent(
        """
        import resource, sys
        resource.setrlimit(resource.RLIMIT_AS, (500_000_000, 500_000_000))
        from faultiso.language.load import load
        for name in sys.argv[1:]:
            assert load(name).errors, name
        """
    )
    assert resource
    done = subprocess.run(
        [sys.executable, "-c", program, *map(str, files)], capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
