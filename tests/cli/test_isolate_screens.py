"""Screen records of two isolations, as a person sees them: read the diff when they change."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Program = Callable[..., "subprocess.CompletedProcess[bytes]"]

PUMP = """\
cylinder cycled
1
pressure gauge sagging
pressure display
106 bar
cylinder slow

2

why pump worn
rank
if case-drain=high
measure the case-drain flow
ready
5.2
why
note metal in the filter bowl
replace the pump
ready
chapter 29, indicating
verify
ready
1.2 l/min
1900
1900
normal
finish
"""

GAUGE = """\
running at pressure
1
low pressure light lit
pressure gauge 2,7
2,7
1,905 psi

3
run light lit

2

undo

test gauge at the pump port
ready
1912 psi
finish
1
ready
lamp
quit
"""


@pytest.mark.parametrize(
    ("name", "answers", "columns", "plain"),
    [("pump", PUMP, "80", ""), ("gauge", GAUGE, "40", ""), ("pump-plain", PUMP, "80", "1")],
)
def test_the_screen_is_as_recorded(
    name: str,
    answers: str,
    columns: str,
    plain: str,
    faultiso: Program,
    tmp_path: Path,
    golden: Callable[[str, str], None],
) -> None:
    file = tmp_path / "a.txt"
    file.write_text(answers, encoding="utf-8", newline="\n")
    home = tmp_path / "h"
    done = faultiso(
        "isolate", "workshop-power-cart", "--answers", str(file),
        FAULTISO_HOME=str(home), COLUMNS=columns, FAULTISO_PLAIN=plain, OMP_NUM_THREADS="1",
    )  # fmt: skip
    screen = (done.stderr + done.stdout).decode("utf-8").replace(str(home), "HOME").replace("\\", "/")
    screen = re.sub(r"[0-9A-Z]{4}-[0-9A-Z]{4}(?= \()", "XXXX-XXXX", screen)
    golden(f"isolate-{name}-{columns}.txt", screen)
    assert done.returncode == 0
