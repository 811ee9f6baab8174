"""A model that calls itself reviewed, but was not reviewed by another person.

Wrong:

    author: A. Nother
    state: reviewed
    reviewer: A. Nother

Right:

    author: A. Nother
    state: reviewed
    reviewer: B. Other
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.model.system import Model, Review


def check(model: Model) -> Iterable[Problem]:
    """State "reviewed" without an author, without a reviewer, or with the author as the reviewer."""
    return judged(model.review)


def judged(review: Review) -> Iterable[Problem]:
    """The same of the review of anything."""
    if review.state != "reviewed":
        return
    if not review.reviewer or not review.author:
        missing = "author" if review.reviewer else "reviewer"
        yield Problem("review", review.where, f"the state is reviewed, but no {missing} is named")
    elif review.reviewer.casefold().split() == review.author.casefold().split():
        message = f"author and reviewer are both {review.author}; expected another person as the reviewer"
        yield Problem("review", review.where, message)
