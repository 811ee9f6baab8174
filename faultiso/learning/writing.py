"""Orders as the rows of a history file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from faultiso.learning.orders import Said
from faultiso.learning.synthetic import BIASES, Synthetic, Written
from faultiso.learning.wording import HEADS, RESULTS
from faultiso.model.system import Model

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


def _readings(said: Sequence[Said]) -> str:
    return "; ".join(f"{s.sign}={s.outcome}" + (f"@{s.situation}" if s.situation else "") for s in said)
