"""Approved data: a reference named before invasive work, of the chapter that belongs to it.

The mean over the repairs of: 1 where the reference names the expected chapter (or the case expects none),
``data_only_named`` for another one, 0 for none. Left out where no repair was made, nothing where one should
have been. The text of the record is read by an instructor (write_up).
"""

from __future__ import annotations

import re

from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric


def record(review: Review, rubric: Rubric) -> Mark:
    repairs, expected = review.state.repairs, review.case.approved_data
    if review.shirked:
        return Mark("record", 0.0, (Reason("nothing was repaired, so no approved data were used"),))
    if not repairs:
        return Mark("record", None, (Reason("no invasive work was done"),))
    steps = [place for place, passage in enumerate(review.done) if passage.deed.what == "repair"]
    shares, reasons = [], []
    for repair, place in zip(repairs, steps, strict=True):
        named = repair.reference or " ".join(review.done[place].before.references)
        share = _share(rubric, expected, named)
        shares.append(share)
        if share < 1.0:
            why = "no approved data named" if share == 0 else f"approved data named: {named}"
            more = f"; expected chapter {expected}" if expected else ""
            reasons.append(Reason(f"{why}{more}", place + 1, review.done[place].deed.line))
    return Mark("record", sum(shares) / len(shares), tuple(reasons))


def _share(rubric: Rubric, expected: str, named: str) -> float:
    if not named.strip():
        return 0.0
    chapter = expected.partition("-")[0]
    numbers = re.findall(r"[0-9]+", named)
    if not chapter or any(number.startswith(chapter) for number in numbers):
        return 1.0
    return rubric.thresholds["data_only_named"]
