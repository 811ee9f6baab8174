"""Each module is imported by name in some test, or stands in a short list with the reason."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path

ROOT = Path(__file__).parent.parent

#: modules that tests reach through another one: a pattern -> (who reaches them, the test that does so)
REACHED_THROUGH = {
    "faultiso.__main__": ("run as a process", "tests/cli/test_app.py"),
    "faultiso.belief.scene*": ("Belief", "tests/semantics/test_random_beliefs.py"),
    "faultiso.casebook.[bn]*": ("load_case", "tests/casebook/test_load_case.py"),
    "faultiso.casebook.lints.*": ("lint, by examples for each", "tests/casebook/test_case_lints.py"),
    "faultiso.cli.*": ("the program, run with words", "tests/test_notice_everywhere.py"),
    "faultiso.engine.tables": ("propagate", "tests/engine/test_propagate.py"),
    "faultiso.engine.gain": ("pairs", "tests/engine/test_pairs.py"),
    "faultiso.engine.order": ("plan", "tests/engine/test_plan.py"),
    "faultiso.interchange.files": ("the readers and writers", "tests/interchange/test_network_files.py"),
    "faultiso.interchange.model_json": ("export", "tests/interchange/test_exports.py"),
    "faultiso.language.[!l]*": ("load", "tests/language/test_load.py"),
    "faultiso.language.levels": ("load", "tests/language/test_load.py"),
    "faultiso.language.lints.*": ("lint, by a file for each", "tests/language/test_lints.py"),
    "faultiso.learning.finding": ("Scene", "tests/learning/test_scenes.py"),
    "faultiso.learning.looks": ("Scene", "tests/learning/test_scenes.py"),
    "faultiso.network.response": ("ground", "tests/semantics/test_causes.py"),
    "faultiso.report.*": ("the commands that print it", "tests/test_notice_everywhere.py"),
    "faultiso.world.draws": ("Worlds", "tests/world/test_random_worlds.py"),
    "faultiso.world.settled": ("Hidden", "tests/world/test_random_worlds.py"),
    "faultiso.session.*": ("isolate, with a colleague who plays the system", "tests/session/colleague.py"),
}


def modules() -> set[str]:
    paths = (ROOT / "faultiso").rglob("*.py")
    return {
        ".".join(path.relative_to(ROOT).with_suffix("").parts) for path in paths if path.stem != "__init__"
    }


def names_in(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def excused(module: str) -> bool:
    return any(fnmatchcase(module, pattern) for pattern in REACHED_THROUGH)


def test_every_module_is_imported_by_a_test_or_reached_through_another() -> None:
    imported = {name for path in (ROOT / "tests").rglob("*.py") for name in names_in(path)}
    assert sorted(module for module in modules() - imported if not excused(module)) == []


def test_every_excuse_is_needed_and_names_a_test_that_is_there() -> None:
    for pattern, (_, test) in REACHED_THROUGH.items():
        assert any(fnmatchcase(module, pattern) for module in modules()), pattern
        assert (ROOT / test).exists(), test
