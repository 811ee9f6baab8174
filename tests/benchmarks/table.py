"""Rank every unread check of synthetic networks, and compare with general-purpose libraries in the same run.

    python -m tests.benchmarks.table [--sizes 3 10 30] [--no-peers] [--tangled]

Prints for each network: our median seconds over 20 cases (each once, after one warm-up), the seconds to
prepare the network, the peak memory of a process that does only this, the libraries' seconds on the first
case (a time marked ~ was measured on some checks, spread over all, and scaled up), how many times faster we
are, and the largest difference of any gain in bits. All in one process on one machine; nothing is asserted.
"""

from __future__ import annotations

import argparse
import json
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from faultiso.engine.rank_network import Ranker, Ranking
from faultiso.network.network import Network, Roles
from tests.benchmarks.make_network import make_network, plant
from tests.benchmarks.peers import PeerResult, pyagrum_network, rank_pgmpy, rank_pyagrum, unread_checks

PYAGRUM_CHECKS = {3: None, 10: None, 30: 60}
PGMPY_CHECKS = {3: 4, 10: 1, 30: 0}
TANGLED_CHECKS = 9
PEER_MEMORY = 12 << 30


@dataclass(frozen=True)
class Ours:
    """Seconds and memory of our own ranking."""

    prepare: float
    median: float
    worst: float
    first: Ranking


def measure(network: Network, roles: Roles, observed: list[Mapping[str, int]]) -> Ours:
    """Prepare, warm up once, then every case once."""
    start = time.perf_counter()
    ranker = Ranker(network, roles)
    first = ranker.rank(observed[0])
    prepare = time.perf_counter() - start
    times = []
    for readings in observed:
        start = time.perf_counter()
        ranker.rank(readings)
        times.append(time.perf_counter() - start)
    prepare -= times[0]
    return Ours(prepare, statistics.median(times), max(times), first)


def peak_memory(subsystems: int) -> float:
    """Megabytes at the peak of a fresh process that ranks all cases of one network."""
    command = [sys.executable, "-m", "tests.benchmarks.table", "--memory", str(subsystems)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return float(json.loads(done.stdout))


def report_memory(subsystems: int) -> None:
    """What ``peak_memory`` runs."""
    network, roles = make_network(subsystems)
    measure(network, roles, [case.observed for case in plant(network, roles, subsystems)])
    print(json.dumps(peak_megabytes()))


def peak_megabytes() -> float:
    """The most memory that this process has held so far (the "ru_maxrss" of a child starts at its parent's)."""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1000
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def difference(ours: Ranking, peer: PeerResult) -> float:
    """Largest difference of a gain, in bits."""
    gains = dict(zip(ours.checks, ours.gain_bits_marginal, strict=True))
    return max(abs(gains[check] - gain) for check, gain in peer.gain.items())


def compare(
    rank: Callable[..., PeerResult],
    network: Network,
    roles: Roles,
    ours: Ours,
    observed: Mapping[str, int],
    checks: int | None,
) -> tuple[str, str, float]:
    """(seconds, ratio, difference) of one library as text; empty where it is left out."""
    if checks == 0:
        return "", "", 0.0
    peer = rank(network, roles, observed, unread_checks(roles, observed, checks))
    mark = "~" if peer.scaled else ""
    return f"{mark}{peer.seconds:.3g}", f"{peer.seconds / ours.median:,.0f}", difference(ours.first, peer)


def row(subsystems: int, peers: bool) -> list[str]:
    """One line of the table."""
    network, roles = make_network(subsystems)
    cases = [case.observed for case in plant(network, roles, subsystems)]
    ours = measure(network, roles, cases)
    found = [("", "", 0.0), ("", "", 0.0)]
    if peers:
        found = [
            compare(rank_pyagrum, network, roles, ours, cases[0], PYAGRUM_CHECKS.get(subsystems, 20)),
            compare(rank_pgmpy, network, roles, ours, cases[0], PGMPY_CHECKS.get(subsystems, 0)),
        ]
    return [
        f"{len(roles.faults)} faults, {len(roles.checks)} checks",
        f"{ours.median:.4f}",
        f"{ours.worst:.4f}",
        f"{ours.prepare:.3f}",
        f"{peak_memory(subsystems):.0f}",
        *[cell for seconds, ratio, _ in found for cell in (seconds, ratio)],
        f"{max(value for *_, value in found):.1e}" if peers else "",
    ]


def tangled_cases() -> tuple[Network, Roles, list[Mapping[str, int]]]:
    """A network whose one junction tree would be too large: 300 faults, 450 checks; its 20 cases."""
    network, roles = make_network(15, seed=3, tangled=0.4)
    return network, roles, [case.observed for case in plant(network, roles, 15, seed=3)]


def tangled() -> None:
    """Ours for all unread checks of every case; the fastest library for a few of the first case.

    Each library run is a process of limited memory.
    """
    network, roles, cases = tangled_cases()
    ranker = Ranker(network, roles)
    first, times = ranker.rank(cases[0]), []
    print(f"tangled, {len(roles.faults)} faults, {len(roles.checks)} checks: every unread check, exactly")
    for number, observed in enumerate(cases):
        start = time.perf_counter()
        checks = len(ranker.rank(observed).checks)
        times.append((time.perf_counter() - start) / checks)
        print(f"  case {number}: {checks * times[-1]:.1f} s, {times[-1]:.2f} s a check", flush=True)
    print(f"median {statistics.median(times):.2f} s a check, {peak_megabytes():.0f} MB at the peak")
    gains = dict(zip(first.checks, first.gain_bits_marginal, strict=True))
    for check in unread_checks(roles, cases[0], TANGLED_CHECKS):
        command = [sys.executable, "-m", "tests.benchmarks.table", "--peer-check", check]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode:
            print(f"  pyagrum {check}: more than {PEER_MEMORY >> 30} GB", flush=True)
        else:
            seconds, gain = json.loads(done.stdout)
            apart = abs(gain - gains[check])
            print(f"  pyagrum {check}: {seconds:.1f} s, gains differ by {apart:.1e} bits", flush=True)


def report_peer(check: str) -> None:
    """What ``tangled`` runs for one check."""
    resource.setrlimit(resource.RLIMIT_AS, (PEER_MEMORY, PEER_MEMORY))
    network, roles, cases = tangled_cases()
    filled = pyagrum_network(network)
    start = time.perf_counter()
    peer = rank_pyagrum(network, roles, cases[0], [check], filled)
    print(json.dumps([time.perf_counter() - start, peer.gain[check]]))


HEADINGS = (
    "network", "median s", "worst s", "prepare s", "peak MB",
    "pyagrum s", "times", "pgmpy s", "times", "largest difference, bits",
)  # fmt: skip


def main() -> None:
    cli = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    cli.add_argument("--sizes", type=int, nargs="+", default=[3, 10, 30], help="numbers of subsystems")
    cli.add_argument("--no-peers", action="store_true", help="only our own times")
    cli.add_argument("--tangled", action="store_true", help="only the tangled network")
    cli.add_argument("--peer-check", help=argparse.SUPPRESS)
    cli.add_argument("--memory", type=int, help=argparse.SUPPRESS)
    options = cli.parse_args()
    if options.memory:
        report_memory(options.memory)
    elif options.peer_check:
        report_peer(options.peer_check)
    elif options.tangled:
        tangled()
    else:
        print(" | ".join(HEADINGS))
        for subsystems in options.sizes:
            print(" | ".join(row(subsystems, not options.no_peers)), flush=True)


if __name__ == "__main__":
    main()
