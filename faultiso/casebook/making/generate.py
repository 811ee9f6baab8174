"""Cases drawn by a seed: only those that pass every check are kept, and no two that are alike."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from random import Random
from typing import Any

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.case import LEVELS, STAGES, Case, End, Level, Stage
from faultiso.casebook.checking import check_case
from faultiso.casebook.difficulty import Difficulty, difficulty
from faultiso.casebook.findings import Findings, Numbers
from faultiso.casebook.load import load_case_text
from faultiso.casebook.making.draw import ANY, Drawer, Drawn
from faultiso.casebook.making.shows import Shows
from faultiso.casebook.making.texts import approved_data, good_solution, hints, lessons, title, write_up
from faultiso.casebook.making.written import case_text
from faultiso.casebook.models import Models
from faultiso.casebook.repairing import Way, repairs_for, sheet_for, unrepairable
from faultiso.casebook.stock import as_stocked
from faultiso.model.system import Model
from faultiso.planning.advice import UNEXPLAINED

LIKELY = 0.2  # least P(complaint | truth): a complaint that comes of its truth every fifth time or oftener
NO_SPARE = "There is no spare in the store this week."
DEFERRED = 0.3  # share of what may be deferred that is to be deferred
TRIED = 60  # for each case that is wanted, drawn cases that may be judged
DRAWN = 40  # for each of these, draws that may come to nothing
_STAGES: Mapping[Level, Stage] = dict(zip(LEVELS, STAGES, strict=False))


@dataclass(frozen=True)
class Wish:
    """What is asked for. ``kinds``: each case is of one of them; empty: of any."""

    number: int
    level: Level | None = None
    kinds: frozenset[str] = frozenset()
    seed: int = 0

    @property
    def lean(self) -> float:
        """Towards what is to be drawn: 0 easy, 1 difficult."""
        return ANY if self.level is None else LEVELS.index(self.level) / (len(LEVELS) - 1)


@dataclass(frozen=True)
class Made:
    """A case that was made: its text, itself, and what is computed of it."""

    name: str
    text: str
    case: Case
    findings: Findings


@dataclass
class Count:
    """How many were drawn, and how many of these were worth judging."""

    drawn: int = 0
    tried: int = 0
    seen: set[object] = field(default_factory=set)


class Maker:
    """Makes cases of one model. ``named``: how a case file in ``folder`` calls it."""

    def __init__(self, reasoner: Reasoner, named: str, models: Models, folder: Path) -> None:
        self.model, self.reasoner = reasoner.model, reasoner
        self.named, self.models, self.folder = named, models, folder
        self._drawer = Drawer(Shows(reasoner))

    def make(
        self, wish: Wish, count: Count, progress: Callable[[int, int], None] | None = None
    ) -> Iterator[Made]:
        """As many cases as are wished for, fewer if no more are found; the same for the same wish."""
        made = 0
        for attempt in range(wish.number * TRIED * DRAWN):
            if made == wish.number or count.tried >= wish.number * TRIED:
                return
            found = self._attempt(wish, count, attempt, made + 1)
            if progress:
                progress(made, count.tried)
            if found:
                made += 1
                yield found

    def _attempt(self, wish: Wish, count: Count, attempt: int, number: int) -> Made | None:
        random = Random(f"{wish.seed}/{attempt}")
        kind = random.choice(sorted(wish.kinds)) if wish.kinds else ""
        count.drawn += 1
        drawn = self._drawer.draw(random, kind, wish.lean)
        if drawn is None or drawn.key in count.seen:
            return None
        count.tried += 1
        outline = self._outline(drawn, random)
        reasoner = self._stocked(outline)
        found = self._judged(outline, wish.level, reasoner)
        if found is None:
            return None
        drawn = replace(drawn, kinds=_with_lure(drawn.kinds, found))
        if kind and kind not in drawn.kinds:
            return None
        made = self._written(drawn, outline, found, random, wish, number, reasoner)
        if made:
            count.seen.add(drawn.key)
        return made

    def _outline(self, drawn: Drawn, random: Random) -> Case:
        """The case without its texts, enough to compute with. What is to be deferred has no spare."""
        end = self._end(drawn, random)
        repairs = (repair.name for fault in drawn.truth for repair in repairs_for(self.model, fault))
        return Case(
            name="", title="", model=self.named, stage="basic", kinds=drawn.kinds, write_up="",
            seen=drawn.seen, now=drawn.now, truth=drawn.truth, seed=drawn.seed,
            right_end=end, no_spare=tuple(dict.fromkeys(repairs)) if end == "deferred" else (),
        )  # fmt: skip

    def _end(self, drawn: Drawn, random: Random) -> End:
        if not drawn.truth:
            return "no fault found"
        if unrepairable(self.model, drawn.truth):
            return "refer"
        deferred = sheet_for(self.model, drawn.truth) is not None and random.random() < DEFERRED
        return "deferred" if deferred else "rectified"

    def _stocked(self, case: Case) -> Reasoner:
        """What reasons about the model as it is in the case."""
        return Reasoner(as_stocked(self.model, case)) if case.no_spare else self.reasoner

    def _judged(self, case: Case, level: Level | None, reasoner: Reasoner) -> Difficulty | None:
        """How difficult it is, as long as nothing is looked for that stays alike; None if it will not do.

        What is quick comes first.
        """
        numbers = Numbers(case, reasoner.model, reasoner)
        if not numbers.belief.possible or math.exp(numbers.log_complaint) < LIKELY:
            return None
        if numbers.unexplained > UNEXPLAINED or not isinstance(numbers.way, Way | None):
            return None
        found = difficulty(case, reasoner, numbers.told, 0)
        if found is None or not found.way.right:
            return None
        hardest = replace(found, alike=10**6)
        reachable = LEVELS[found.number - 1 : hardest.number]
        return found if level is None or level in reachable else None

    def _written(
        self,
        drawn: Drawn,
        outline: Case,
        found: Difficulty,
        random: Random,
        wish: Wish,
        number: int,
        reasoner: Reasoner,
    ) -> Made | None:
        """The whole case, judged as any other is."""
        checked = check_case(outline, reasoner.model, reasoner, found)
        if checked.findings is None or checked.findings.difficulty is None:
            return None
        level = checked.findings.difficulty.level
        if wish.level not in (None, level):
            return None
        name = f"{self.model.name}-{level.replace(' ', '-')}-{wish.seed}-{number:02}"
        values = self._values(drawn, outline, found, checked.findings, random)
        text = case_text({"case": name, **values}, self.model.subject)
        loaded = load_case_text(text, f"{name}.yaml", self.models, self.folder)
        if loaded.case is None or loaded.problems or checked.problems:
            return None
        return Made(name, text, loaded.case, checked.findings)

    def _values(
        self, drawn: Drawn, case: Case, found: Difficulty, findings: Findings, random: Random
    ) -> dict[str, Any]:
        level = (findings.difficulty or found).level
        return {
            "title": title(self.model, drawn, random),
            "model": self.named,
            "stage": _STAGES[level],
            "difficulty": level,
            "kinds": drawn.kinds,
            "write_up": write_up(self.model, drawn, random),
            "seen": [
                {"situation": s.setting.situation, "reports": s.reports, "others": s.others}
                for s in drawn.seen
            ],
            "now": {"situation": drawn.now.situation},
            "truth": drawn.truth,
            "seed": drawn.seed,
            **({"no_spare": case.no_spare} if case.no_spare else {}),
            **({"says": {"colleague": [NO_SPARE]}} if case.no_spare else {}),
            "aims": [{"aim": lesson.aim, "text": lesson.text} for lesson in lessons(drawn)],
            "approved_data": approved_data(self.model, drawn),
            "critical_precautions": _critical(self.model, findings),
            "hints": hints(self.model, drawn, found.way),
            "good_solution": good_solution(self.model, drawn, found.way),
            "right_end": case.right_end,
            "author": "drawn by faultiso",
            "state": "draft",
            "version": "0.1",
            "model_version": self.model.review.version,
            "model_digest": self.model.digest[:12],
        }


def _with_lure(kinds: tuple[str, ...], found: Difficulty) -> tuple[str, ...]:
    """The kinds, one more where the complaint points elsewhere: a good unit is believed more."""
    return (*kinds, "misleading complaint") if found.lure > 0.5 else kinds


def _critical(model: Model, findings: Findings) -> list[str]:
    """The cautions marked critical of the repairs that lead out."""
    repairs = findings.way.repairs if findings.way else ()
    hazards = dict.fromkeys(hazard for name in repairs for hazard in model.repairs[name].work.hazards)
    return [name for name in hazards if model.cautions[name].critical]
