"""The plan of the house: who may import whom, read from the sources themselves."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
SOURCES = ROOT / "faultiso"
TOP = ("__init__", "__main__")  # the façade and the door from outside: above all rooms


@cache
def modules() -> Mapping[str, Path]:
    found = {}
    for path in sorted(SOURCES.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(name: str, path: Path, at_start: bool) -> Iterator[str]:
    """The modules of ours that a module imports; ``at_start``: only those that importing it imports."""
    for node in _walk(tree_of(path), at_start):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in modules())
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name}: imports are written in full"
            for alias in node.names:
                inside = f"{node.module}.{alias.name}"
                yield from (m for m in (inside, node.module or "") if m in modules())


def _walk(node: ast.AST, at_start: bool) -> Iterator[ast.AST]:
    """Every statement; for ``at_start`` without the bodies of functions and what is for type checking only."""
    for child in ast.iter_child_nodes(node):
        if at_start and isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        if at_start and isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test):
            continue
        yield child
        if not isinstance(child, ast.expr):
            yield from _walk(child, at_start)


@cache
def graph(at_start: bool) -> dict[str, set[str]]:
    return {
        name: set(imported(name, path, at_start)) - {name, "faultiso"} for name, path in modules().items()
    }


def circle(edges: Mapping[str, set[str]]) -> list[str]:
    try:
        tuple(TopologicalSorter(edges).static_order())
    except CycleError as found:
        return list(found.args[1])
    return []


def room(module: str) -> str:
    return module.split(".")[1] if "." in module else "__init__"


def test_no_module_imports_itself_by_a_detour() -> None:
    assert circle(graph(at_start=True)) == []


def test_no_room_imports_itself_by_a_detour_not_even_late() -> None:
    between: dict[str, set[str]] = {}
    for name, others in graph(at_start=False).items():
        if room(name) not in TOP:
            between.setdefault(room(name), set()).update(room(other) for other in others)
    assert circle({name: others - {name} for name, others in between.items()}) == []


def test_a_circle_would_be_found() -> None:
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"a"}}) != []
    found = graph(at_start=False)
    assert "faultiso.belief.reasoner" in found["faultiso.cli.rank"]
    assert "faultiso.belief.reasoner" not in graph(at_start=True)["faultiso.cli.rank"]
    assert "faultiso.belief.belief" in found["faultiso.report.pages.ranking"]


@cache
def contract() -> Any:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    return next(item for item in contracts if item["type"] == "layers")


def layers() -> list[set[str]]:
    return [{name.strip() for name in line.replace(":", "|").split("|")} for line in contract()["layers"]]


def test_every_room_has_its_place_in_the_contract() -> None:
    rooms = {path.name for path in SOURCES.iterdir() if (path / "__init__.py").exists()}
    placed = set().union(*layers())
    assert rooms - set(contract().get("exhaustive_ignores", ())) == placed
    assert contract()["exhaustive"] is True


def test_data_flows_one_way() -> None:
    """The same as the contract says, late imports included, without the tool."""
    level = {name: number for number, names in enumerate(layers()) for name in names}
    for name, others in graph(at_start=False).items():
        for other in others:
            if room(name) in level and room(name) != room(other):
                assert level[room(name)] < level[room(other)], f"{name} imports {other}"


def test_the_contracts_are_kept() -> None:
    tool = shutil.which("lint-imports", path=str(Path(sys.executable).parent))
    assert tool is not None, "import-linter comes with the test extra"
    result = subprocess.run([tool, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout
