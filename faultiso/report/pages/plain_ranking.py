"""The answer of ``rank`` for a plain network, as data and as a page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from faultiso.base.figures import in_hundred, minutes_words
from faultiso.report.page import Column, Page, Table, Text

if TYPE_CHECKING:
    from faultiso.belief.plain import PlainBelief

LEADERS, CHECKS = 8, 10


def plain_record(belief: PlainBelief) -> dict[str, Any]:
    """The same keys as for a model, as far as a plain network has them."""
    checks = belief.rank_checks()
    best = checks[0] if checks else None
    return {
        "faults": [{"name": n, "component": "", "probability": p} for n, p in belief.faults.items()],
        "diagnoses": [{"faults": list(d.faults), "probability": d.probability} for d in belief.diagnoses],
        "unlisted": belief.unlisted,
        "none_modelled": belief.none_modelled,
        "surprise_bits": belief.surprise_bits,
        "log2_evidence": belief.log2_evidence,
        "limitation": belief.limitation,
        "checks": [
            {
                "name": check.name,
                "minutes": check.minutes,
                "gain_bits": list(check.gain_bits),
                "gain_bits_marginal": check.gain_bits_marginal,
                "outcomes": dict(check.outcomes),
            }
            for check in checks
        ],
        "next": {
            "action": "check" if best else "refer",
            "name": best.name if best else "refer",
            "reason": "it tells most about the set of faults" if best else "no check is left",
        },
    }


def plain_page(belief: PlainBelief) -> Page:
    """Leading faults and the checks that tell most."""
    leaders = tuple((name, in_hundred(p)) for name, p in list(belief.faults.items())[:LEADERS])
    checks = tuple(
        (check.name, f"{check.gain_bits[1]:.3f}", minutes_words(check.minutes))
        for check in belief.rank_checks()[:CHECKS]
    )
    blocks = (
        Table((Column("Leading faults"), Column("in 100", "number")), leaders, "leading faults"),
        Table(
            (Column("Checks that tell most"), Column("bits", "number"), Column("takes", "minutes")),
            checks,
            "checks by information",
        ),
    )
    note = (Text(f"Note: {belief.limitation}."),) if belief.limitation else ()
    return Page("a plain network", "", (*note, *blocks))
