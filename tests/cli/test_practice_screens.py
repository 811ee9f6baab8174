"""Screen records of practice, as a person sees it: read the diff when they change."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Program = Callable[..., "subprocess.CompletedProcess[bytes]"]

FIRST = """\
# a light that lies: the first case, with a coach
quantity 1 reading
pump 1 caution
data pump 1 caution
hint
ask crew
believe low-pressure switch 1 50, overheat switch 1 25
undo
set both engines at idle, parking brake set
ready
pump 1 caution
dispute it shook
replace low-pressure switch 1
low-pressure switch 1 80

replace low-pressure switch 1
ready

chapter 29, indicating
verify
ready
finish
"""

#: the same where hazards are named first
FIRST_QUIET = FIRST.replace("ready\n", "1 2\nready\n").replace("switch 1 80\n\n", "switch 1 80\n1\n\n")

CART = """\
overheat light
fan test
fan thermostat 50, cooler fan 20
1 4
ready
test gauge at
1
2 4

replace the fan thermostat

6
ready
chapter 29
let it cool
5
ready
nk
verify
2
ready
note tidy
finish
"""

EXAM = """\
hint
help
pump 1 caution
refer
"""


def screen(done: subprocess.CompletedProcess[bytes], home: Path) -> str:
    """What stood on the screen, without what differs from run to run."""
    text = (done.stderr + done.stdout).decode("utf-8").replace(str(home), "HOME").replace("\\", "/")
    text = re.sub(r"[0-9A-Z]{4}-[0-9A-Z]{4}(?= *\()", "XXXX-XXXX", text)
    text = re.sub(
        r"(?m)^(  Next:? +).*(?:\n {10,}.*)*", r"\1the next case", text
    )  # hangs on which cases there are
    return re.sub(r"Real time left: \d+ of", "Real time left: NN of", text)


@pytest.mark.parametrize(
    ("name", "case", "mode", "answers", "columns", "plain"),
    [
        ("first", "first-light", "coached", FIRST, "80", ""),
        ("first", "first-light", "quiet", FIRST_QUIET, "40", ""),
        ("exam", "first-light", "examination", EXAM, "80", ""),
        ("cart", "hot-cart", "coached", CART, "80", ""),
        ("cart", "hot-cart", "quiet", CART, "80", ""),
        ("cart-plain", "hot-cart", "quiet", CART, "80", "1"),
        ("exam-cart", "hot-cart", "examination", CART, "80", ""),
    ],
)
def test_the_screen_is_as_recorded(
    name: str,
    case: str,
    mode: str,
    answers: str,
    columns: str,
    plain: str,
    faultiso: Program,
    tmp_path: Path,
    golden: Callable[[str, str], None],
) -> None:
    file, home = tmp_path / "a.txt", tmp_path / "h"
    file.write_text(answers, encoding="utf-8", newline="\n")
    done = faultiso(
        "practice", case, "--mode", mode, "--candidate", "14", "--minutes", "60", "--extra", "25",
        "--answers", str(file),
        FAULTISO_HOME=str(home), COLUMNS=columns, FAULTISO_PLAIN=plain, OMP_NUM_THREADS="1",
    )  # fmt: skip
    golden(f"practice-{name}-{mode}-{columns}.txt", screen(done, home))
    assert done.returncode in (0, 2), done.stderr.decode()
