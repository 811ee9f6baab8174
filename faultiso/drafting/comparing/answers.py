"""What two models answer to the same cases: the likeliest fault, its chance, and the next action."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from faultiso.base.problems import TooLarge
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.case import Case
from faultiso.casebook.complaint import complaint
from faultiso.casebook.load import load_case
from faultiso.casebook.models import OneModel
from faultiso.language.load import Loaded
from faultiso.model.system import Model
from faultiso.planning.advice import Advisor

FELT = 0.01  # a chance that moves less is the same for people
_MODEL = re.compile(r"^model:\s*[\"']?([^\"'#\n]+?)[\"']?\s*(?:#.*)?$", re.MULTILINE)
_LOOKS = 2  # situations that are judged by what everything would show there


@dataclass(frozen=True)
class Answer:
    """The likeliest fault with its chance, and the next action; ``trouble``: why there is none."""

    fault: str = ""
    title: str = ""
    chance: float = 0.0
    action: str = ""
    action_title: str = ""
    trouble: str = ""


@dataclass(frozen=True)
class Beside:
    """One case; ``fault_moved`` and the others: what is another with the newer model."""

    case: str
    old: Answer
    new: Answer
    fault_moved: bool
    chance_moved: bool
    action_moved: bool

    @property
    def moved(self) -> bool:
        return self.fault_moved or self.chance_moved or self.action_moved


def cases_about(files: Mapping[str, Path], name: str) -> dict[str, Path]:
    """The cases, by name, whose model has this name, or lies in a file that is called so."""
    return {case: path for case, path in files.items() if _model_of(path) == name}


def _model_of(path: Path) -> str:
    """The model that a case names, without folder and ending; "" if it names none."""
    try:
        found = _MODEL.search(path.read_text(encoding="utf-8", errors="replace"))
    except OSError:
        return ""
    return PurePosixPath(found[1]).name.removesuffix(".yaml") if found else ""


def answers_of(
    files: Sequence[tuple[str, Path]], old: Loaded, new: Loaded, names: Mapping[str, str],
    tell: Callable[[int], None] = lambda done: None,
) -> tuple[Beside, ...]:  # fmt: skip
    """Both models on each case. ``names``: new names of parts by the old; ``tell``: how many are done."""
    before, after = _Asked(old), _Asked(new)
    found = []
    for done, (case, path) in enumerate(files, 1):
        found.append(_beside(case, before.answer(path), after.answer(path), names))
        tell(done)
    return tuple(found)


def _beside(case: str, old: Answer, new: Answer, names: Mapping[str, str]) -> Beside:
    likely = max(old.chance, new.chance) >= FELT  # else it says nothing which of all unlikely ones is first
    fault = likely and names.get(old.fault, old.fault) != new.fault
    fault |= bool(old.trouble) != bool(new.trouble)
    action = names.get(old.action, old.action) != new.action
    return Beside(case, old, new, fault, abs(old.chance - new.chance) >= FELT, action)


class _Asked:
    """A model that is asked case after case; compiled once."""

    def __init__(self, loaded: Loaded) -> None:
        assert loaded.model is not None
        self._models = OneModel(loaded)
        self._reasoner = Reasoner(loaded.model)

    def answer(self, path: Path) -> Answer:
        loaded = load_case(path, self._models)
        if loaded.case is None:
            return Answer(trouble=str(loaded.errors[0]))
        try:
            return self._answered(loaded.case, self._reasoner.model)
        except TooLarge as error:
            return Answer(trouble=str(error))

    def _answered(self, case: Case, model: Model) -> Answer:
        told = complaint(case, model)
        belief = self._reasoner.belief(told.timeline, told.readings)
        if not belief.possible:
            return Answer(trouble="its reports cannot all be right in this model")
        fault, chance = max(belief.faults.items(), key=lambda item: item[1], default=("", 0.0))
        action = Advisor(belief).advise(with_looks=_LOOKS).action
        known = model.faults.get(fault)
        title = f"{model.components[known.component].title}: {known.title}" if known else ""
        return Answer(fault, title, chance, action.name, action.title)
