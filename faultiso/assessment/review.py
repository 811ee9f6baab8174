"""A session looked back on: what was done, what each step was worth, how it ended. The base of all marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from faultiso.assessment.memory import Memory
from faultiso.assessment.passages import Passage, passages
from faultiso.assessment.verdict import Verdict, verdict
from faultiso.assessment.worth import Worth, best_at, worth_of
from faultiso.casebook.case import Case
from faultiso.model.system import Model
from faultiso.session.desk import Desk
from faultiso.session.events import Event
from faultiso.session.state import State

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Review:
    """``done`` and ``worths`` step by step; ``state`` at the end."""

    case: Case
    model: Model
    state: State
    done: tuple[Passage, ...]
    worths: tuple[Worth, ...]
    verdict: Verdict
    base: Desk = field(repr=False)

    @property
    def shirked(self) -> bool:
        """Something was to be mended and nothing was repaired: what repairs are marked for was not shown."""
        return self.case.right_end == "rectified" and not self.state.repairs


def reviewed(
    case: Case,
    model: Model,
    entries: Iterable[tuple[int, Event]],
    memory: Memory | None = None,
    progress: Progress | None = None,
) -> Review:
    """Look back on a log. Raises Unreadable if it does not fit the model."""
    return looked_back(case, *passages(model, entries), memory or Memory(), progress)


def looked_back(
    case: Case,
    done: tuple[Passage, ...],
    state: State,
    memory: Memory,
    progress: Progress | None = None,
    closely: bool = True,
) -> Review:
    """Look back on what was done, and on the state at the end.

    Not ``closely``: no more is judged than marks hang on.
    """
    worths: list[Worth] = []
    for number, passage in enumerate(done, 1):
        found = worth_of(passage.before, passage.after, passage.deed, memory, closely)
        if not closely and not any(worth.best for worth in (*worths, found)):
            found = replace(found, best=best_at(passage.before, memory))  # the way that all is compared with
        worths.append(found)
        if progress:
            progress(number, len(done))
    model = state.model
    end = verdict(case, model, done, state, memory.world(case, model))
    return Review(case, model, state, done, tuple(worths), end, memory.desk(model))
