"""Orders as the rows of a history file."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

from faultiso.base.bounded import read_bounded
from faultiso.base.problems import UsageError
from faultiso.learning.figures import Figure, figures
from faultiso.learning.orders import Said
from faultiso.learning.synthetic import BIASES, Synthetic, Written
from faultiso.learning.wording import HEADS, RESULTS
from faultiso.model.system import Model

LARGEST = 4_000_000  # bytes of a truth
MOST_LISTED = 10_000  # orders whose hidden faults are told

_RESULT = {words: name for name, words in reversed(list(RESULTS.items()))}


def history_rows(orders: Sequence[Written]) -> Iterator[tuple[str | float, ...]]:
    """One row for each order, in the order of ``HEADS``."""
    for number, written in enumerate(orders, 1):
        order, finding = written.order, written.order.finding
        cells: dict[str, str | float] = {
            "visit": number,
            "hours": round(written.hours, 3),
            "situation": order.situation,
            "conditions": "; ".join(f"{name}={value}" for name, value in order.conditions),
            "complaint": _readings(order.complaint),
            "others": "normal" if order.normal else "",
            "checks": _readings(order.checks),
            "found": "none" if finding.words == "none" else "; ".join((*finding.faults, *finding.units)),
            "result": _RESULT[finding.words] if finding.words else "referred",
        }
        yield tuple(cells[name] for name in HEADS)


def truth_record(drawn: Synthetic, model: Model) -> dict[str, object]:
    """From what a history was drawn, for a JSON document."""
    return {
        "model": model.name,
        "seed": drawn.seed,
        "rows": len(drawn.orders),
        "hours": drawn.hours,
        "biases": [
            {"name": name, "share": share, "what": BIASES[name][0]} for name, share in drawn.biases.items()
        ],
        "figures": {figure.name: value for figure, value in drawn.truth.items()},
        "faults": [sorted(written.truth) for written in drawn.orders[:MOST_LISTED]],
    }


def told_truth(path: Path, model: Model) -> dict[Figure, float]:
    """The figures that such a document tells, for another history from the same truth.

    UsageError if it cannot be read or does not fit the model.
    """
    try:
        told = json.loads(read_bounded(path, LARGEST, "truth"))["figures"]
        by_name = {str(name): float(value) for name, value in told.items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise UsageError(f"{path}: expected the truth that model history wrote beside a history.") from None
    found = {figure: by_name[figure.name] for figure in figures(model)[0] if figure.name in by_name}
    if len(found) < len(by_name) or not all(0.0 < value < 1.0 for value in found.values()):
        raise UsageError(f"{path}: this is the truth of a history of another model than {model.name}.")
    return found


def _readings(said: Sequence[Said]) -> str:
    return "; ".join(f"{s.sign}={s.outcome}" + (f"@{s.situation}" if s.situation else "") for s in said)
