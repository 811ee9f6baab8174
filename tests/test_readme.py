"""The README can be believed: its commands run, its sessions come out as shown, CI runs its words.

The convention: a ```sh block holds commands, one a line (a backslash goes on). A ```text or ```console
block right behind <!-- session NAME --> is a session: lines beginning with "$ " are commands, the rest
is what they print; "..." alone in a line stands for any lines. Commands that are not ours (to set up,
to list) are not run; <!-- not run --> before a block says the same of a whole block. A block behind
<!-- file NAME --> is written to that file before anything is run.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")

SET_UP = ("python3 -m venv", "pip install", "-m pytest")
_BLOCK = re.compile(r"(?:<!-- ([^\n]*?) -->\n+)?^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_OURS = re.compile(r"^(?:\S*/)?faultiso(?= |$)")


@dataclass(frozen=True)
class Block:
    """A block of code with the comment before it."""

    marker: str
    language: str
    body: str

    @property
    def commands(self) -> list[str]:
        """The commands of a block, lines that go on joined; comments left out."""
        lines = self.body.replace("\\\n", " ").splitlines()
        if self.is_session:
            return [line[2:].strip() for line in lines if line.startswith("$ ")]
        return [line.strip() for line in lines if line.strip() and not line.lstrip().startswith("#")]

    @property
    def is_session(self) -> bool:
        return self.marker.startswith("session ")


def blocks(text: str) -> list[Block]:
    return [Block(m[1] or "", m[2], m[3]) for m in _BLOCK.finditer(text)]


def ours(command: str) -> list[str]:
    """The calls of faultiso in a line of shell, without those that set up."""
    parts = [part.strip() for part in command.split("&&")]
    return [part for part in parts if _OURS.match(part) and not any(word in part for word in SET_UP)]


BLOCKS = blocks(TEXT)
SHELL = [
    command
    for block in BLOCKS
    if block.language == "sh" and block.marker != "not run"
    for command in block.commands
]
OURS = list(dict.fromkeys(part for command in SHELL for part in ours(command)))
SESSIONS = [block for block in BLOCKS if block.is_session]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One folder for all commands, so that a later one finds what an earlier one made."""
    folder = tmp_path_factory.mktemp("readme")
    for name in ("models", "cases"):
        (folder / name).symlink_to(ROOT / name)
    for block in BLOCKS:
        if block.marker.startswith("file "):
            (folder / block.marker.removeprefix("file ")).write_text(block.body, encoding="utf-8")
    return folder


def call(command: str, place: Path) -> subprocess.CompletedProcess[str]:
    """A command of the README as a shell would run it, with this checkout's program."""
    program = f"{shlex.quote(sys.executable)} -m faultiso"
    environment = {
        **{name: value for name, value in os.environ.items() if name != "COLUMNS"},
        "PYTHONPATH": str(ROOT),
        "FAULTISO_HOME": str(place / "home"),
        "PYTHONIOENCODING": "utf-8",
        "PYTHONUNBUFFERED": "1",
    }
    return subprocess.run(
        ["bash", "-c", _OURS.sub(lambda _: program, command)],
        cwd=place,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,  # in the order in which a person at a terminal sees it
        text=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )


def test_the_readme_has_commands_of_ours() -> None:
    assert OURS


@pytest.mark.parametrize("command", OURS)
def test_every_command_runs(command: str, place: Path) -> None:
    result = call(command, place)
    assert result.returncode == 0, result.stdout
    assert "Traceback" not in result.stdout


@pytest.mark.parametrize("session", SESSIONS, ids=lambda block: block.marker)
def test_every_session_comes_out_as_shown(session: Block, place: Path) -> None:
    printed = "".join(f"$ {command}\n{call(command, place).stdout}" for command in session.commands)
    shown = session.body.replace("\\\n", " ")
    assert re.fullmatch(pattern(shown), tidy(printed)), f"shown:\n{shown}\nprinted:\n{printed}"


def tidy(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.strip().splitlines())


def pattern(shown: str) -> str:
    """What is shown as a pattern, in which a line of three dots stands for any lines."""
    lines = tidy(shown).splitlines()
    return r"\n".join(r"(?:.*\n)*?.*" if line.strip() == "..." else re.escape(line) for line in lines)


def marked(name: str) -> str:
    (found,) = [block for block in BLOCKS if block.marker == name]
    (command,) = found.commands
    return command


def test_continuous_integration_runs_the_very_words_of_the_test_command() -> None:
    assert 'readme_command "test command"' in CI
    assert "-m pytest" in marked("test command")
    command = extracted("test command")
    assert command == marked("test command")


def extracted(name: str) -> str:
    """The command as the function in .ci/run finds it."""
    function = CI[CI.index("readme_command()") : CI.index("\n}\n") + 3]
    result = subprocess.run(
        ["bash", "-c", f'{function}\nreadme_command "{name}"'],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return result.stdout.strip()


def test_the_first_command_sets_up_and_does_the_main_job() -> None:
    command = marked("first command")
    assert command == extracted("first command")
    assert command.count("\n") == 0
    (job,) = [part.strip() for part in command.split("&&") if "bin/faultiso" in part]
    assert job in OURS


def test_every_block_is_of_a_known_kind() -> None:
    for block in BLOCKS:
        assert block.language in ("sh", "text", "console", "yaml", "python", "json"), block
        assert not block.is_session or block.commands


# the convention itself


EXAMPLE = """
<!-- session greeting -->
```text
$ faultiso --version
faultiso 0.1.0
...
```

```sh
# a comment
faultiso where \\
  --json
python3 -m venv .venv && .venv/bin/faultiso where
```
"""


def test_the_convention() -> None:
    session, shell = blocks(EXAMPLE)
    assert session.is_session and session.commands == ["faultiso --version"]
    assert [ours(command) for command in shell.commands] == [
        ["faultiso where    --json"],
        [".venv/bin/faultiso where"],
    ]
    shown = pattern(session.body)
    assert re.fullmatch(shown, "$ faultiso --version\nfaultiso 0.1.0\ntraining aid\nand more")
    assert not re.fullmatch(shown, "$ faultiso --version\nfaultiso 0.2.0\ntraining aid")


def test_a_command_that_fails_is_noticed(place: Path) -> None:
    assert call("faultiso rank no-such-model", place).returncode == 2
    assert call("faultiso where --json", place).stdout.startswith("{")
