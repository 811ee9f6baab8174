"""Reading a plain network and importing the room loads none of the heavy libraries."""

from __future__ import annotations

import subprocess
import sys

HEAVY = ("pgmpy", "networkx", "pandas", "matplotlib", "scipy")
MODULES = ("export", "graphs", "model_json", "netfiles", "pgmpy_door", "roles", "uai", "bif")


def test_nothing_heavy_is_imported_before_it_is_used():
    names = ", ".join(f"faultiso.interchange.{name}" for name in MODULES)
    code = f"import sys, {names}, faultiso.report.drawing.schematic, faultiso.report.drawing.causal\n"
    code += f"print(*[name for name in {HEAVY!r} if name in sys.modules])"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.split() == []


def test_a_bif_is_read_without_pgmpy(tmp_path):
    (tmp_path / "n.bif").write_text(
        "network n { }\nvariable a { type discrete [ 2 ] { n, y }; }\nprobability ( a ) { table 0.9, 0.1; }\n"
    )
    (tmp_path / "r.json").write_text('{"faults": ["a"], "checks": {}}')
    code = "import sys\nfrom faultiso.interchange.roles import read_network\n"
    code += f"read_network({str(tmp_path / 'n.bif')!r}, {str(tmp_path / 'r.json')!r})\n"
    code += f"print(*[name for name in {HEAVY!r} if name in sys.modules])"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.split() == []
