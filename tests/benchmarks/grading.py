"""Sessions graded a second: positions known and new, a class of the small and of a large system, 10,000 logs.

    python -m tests.benchmarks.grading FOLDER [--people N] [--logs N] [--processes N] [CASE ...]

Simulated apprentices work the cases (three of the workshop cart by default) into FOLDER; logs that are there
are used again. The class is graded by the command itself with no position known, then again with all of them;
then as many logs as are wanted, copies of these under other candidate numbers with every seal made anew, in one
call. Told: seconds, processor seconds, sessions a second a core, and the largest memory of the process that
reports and of those that judge. All must give the same marks for the same log, whatever was known.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from faultiso.assessment.classes.many import cores
from faultiso.base.journal import FIRST
from faultiso.casebook.library import find_case
from faultiso.practice.apprentices.apprentice import cohort
from faultiso.practice.apprentices.many import work_many
from faultiso.session.home import HOME

CASES = ("hot-cart", "red-light", "yard-start")
_PAUSE = 0.1  # seconds between two looks at the memory of the processes


@dataclass(frozen=True)
class Run:
    """One call of ``faultiso grade``; memory in bytes, 0 where the system does not tell it."""

    marks: dict[str, float]
    graded: int
    seconds: float
    processor: float
    parent: int
    worker: int

    def __str__(self) -> str:
        rate = self.graded / max(self.processor, 1e-9)
        return (
            f"{self.graded} graded in {self.seconds:.1f} s, {self.processor:.1f} s of processors: {rate:.1f} "
            f"a second a core; memory {self.parent / 1e6:.0f} MB, of who judges {self.worker / 1e6:.0f} MB"
        )


def graded(home: Path, logs: Path, processes: int) -> Run:
    """Grade a folder of logs; ``home``: where positions are kept."""
    words = [sys.executable, "-m", "faultiso", "grade", str(logs), "--json", "--processes", str(processes)]
    before, started = _processor(), time.perf_counter()
    call = subprocess.Popen(words, stdout=subprocess.PIPE, env={**os.environ, HOME: str(home)})
    assert call.stdout is not None
    parent, worker, output = 0, 0, b""
    os.set_blocking(call.stdout.fileno(), False)
    while call.poll() is None:
        parent, worker = max(parent, _memory(call.pid)), max([worker, *map(_memory, _children(call.pid))])
        output += call.stdout.read() or b""
        time.sleep(_PAUSE)
    output += call.stdout.read() or b""
    found = json.loads(output)
    marks = {each["path"]: each["mark"] for person in found["people"] for each in person["cases"]}
    seconds = time.perf_counter() - started
    return Run(marks, len(marks), seconds, _processor() - before, parent, worker)


def _processor() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _memory(process: int) -> int:
    """The most that a process has had at any time."""
    try:
        status = Path(f"/proc/{process}/status").read_text(encoding="ascii", errors="replace")
        return next(int(line.split()[1]) * 1024 for line in status.splitlines() if line.startswith("VmHWM"))
    except (OSError, StopIteration):
        return 0


def _children(process: int) -> list[int]:
    try:
        return [int(n) for n in Path(f"/proc/{process}/task/{process}/children").read_text().split()]
    except OSError:
        return []


def copies(logs: Sequence[Path], wanted: int, folder: Path) -> None:
    """As many logs, of as many people: by turns the same steps under another number, sealed anew."""
    folder.mkdir(parents=True, exist_ok=True)
    read = [path.read_bytes().splitlines() for path in logs]
    for number in range(wanted):
        name = f"{number // len(logs) + 1:04d}-{logs[number % len(logs)].name}"
        (folder / name).write_bytes(b"".join(_sealed(read[number % len(logs)], f"{number:05d}")))


def _sealed(lines: Sequence[bytes], candidate: str) -> Iterator[bytes]:
    before = FIRST
    for line in lines:
        found = json.loads(line)
        if "candidate" in found["data"]:
            found["data"]["candidate"] = candidate
        body = {**found, "before": before}
        del body["own"]
        text = json.dumps(body, ensure_ascii=True, separators=(",", ":"))[:-1]
        before = hashlib.sha256(text.encode()).hexdigest()[:32]
        yield f'{text},"own":"{before}"}}\n'.encode()


def main() -> None:
    cli = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    cli.add_argument("folder", type=Path)
    cli.add_argument("cases", nargs="*", default=CASES)
    cli.add_argument("--people", type=int, default=30)
    cli.add_argument("--logs", type=int, default=10_000)
    cli.add_argument("--processes", type=int, default=cores())
    options = cli.parse_args()
    sessions, home = options.folder / "sessions", options.folder
    if not sessions.is_dir():
        work_many(map(find_case, options.cases), cohort(options.people), home, options.processes)
    shutil.rmtree(home / "cache", ignore_errors=True)
    cold = graded(home, sessions, options.processes)
    print(f"positions new: {cold}", flush=True)
    warm = graded(home, sessions, 1)
    print(f"positions known, one process: {warm}", flush=True)
    assert warm.marks == cold.marks
    if options.logs:
        shutil.rmtree(options.folder / "many", ignore_errors=True)
        copies(sorted(sessions.glob("*.jsonl")), options.logs, options.folder / "many")
        print(f"in one call: {graded(home, options.folder / 'many', options.processes)}", flush=True)


if __name__ == "__main__":
    main()
