"""The only way in: a case file to a Case and its model, with every problem of the file in one run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from faultiso.base.problems import InvalidModel, Problem, UsageError, WithProblems
from faultiso.casebook.build import build_case
from faultiso.casebook.case import Case
from faultiso.casebook.lints import judge
from faultiso.casebook.models import Models
from faultiso.casebook.names import judge_names
from faultiso.casebook.shape import CASE
from faultiso.casebook.stock import as_stocked
from faultiso.language.kinds import Reader
from faultiso.language.nodes import MapNode, Refused, Word
from faultiso.language.sources import Sources, file_bytes
from faultiso.model.system import Model


@dataclass(frozen=True)
class Loaded(WithProblems):
    """A case, or None if there is an error; what is wrong, in file order; its model; the text by file name.

    ``model`` is there whenever it could be read, even if the case could not; stocked as the case says.
    """

    case: Case | None
    problems: tuple[Problem, ...] = ()
    model: Model | None = None
    texts: Mapping[str, str] = field(default_factory=dict, repr=False)


def load_case(path: str | Path, models: Models | None = None) -> Loaded:
    """Read the case in a file. ``models``: where its model is found; by default among the shipped ones."""
    file = str(path)
    try:
        data = file_bytes(Path(path), file, "case")
    except Refused as refused:
        return Loaded(None, (refused.problem,))
    return _loaded(data, file, Path(path).parent, models or Models())


def load_case_bytes(data: bytes, file: str, models: Models) -> Loaded:
    """Read the case in the bytes of a file; ``file`` is what problems call it."""
    return _loaded(data, file, Path(), models)


def load_case_text(
    text: str, file: str = "<text>", models: Models | None = None, folder: Path | None = None
) -> Loaded:
    """Read the case in a text; ``file`` is what problems call it, ``folder`` where paths in it begin."""
    data = text.encode("utf-8", "surrogatepass")
    return _loaded(data, file, folder or Path(), models or Models())


def read_case(path: str | Path, models: Models | None = None) -> tuple[Case, Model]:
    """The case in a file, and its model; InvalidModel with all errors if it has any."""
    loaded = load_case(path, models)
    if loaded.case is None or loaded.model is None:
        raise InvalidModel(loaded.errors)
    return loaded.case, loaded.model


#: mistakes that leave the form whole: what does not depend on names can still be judged, in the same run
SLIPS = frozenset({"name", "level", "outcome", "duplicate"})


def _loaded(data: bytes, file: str, folder: Path, models: Models) -> Loaded:
    sources = Sources(what="case")
    tree = _tree(data, file, sources)
    case, model = None, None
    if tree is not None:
        reader = Reader(sources.problems)
        raw = CASE.read(tree, reader) or {}
        model = _model_of(raw, folder, models, reader)
        if model is not None:
            judge_names(raw, model, reader)
        case = _judged(raw, tree, file, model, sources)
    problems = tuple(sorted(dict.fromkeys(sources.problems), key=lambda problem: problem.where))
    failed = any(problem.severity == "error" for problem in problems)
    if model is not None and case is not None:
        model = as_stocked(model, case)
    return Loaded(None if failed else case, problems, model, dict(sources.texts))


def _judged(
    raw: Mapping[str, Any], tree: MapNode, file: str, model: Model | None, sources: Sources
) -> Case | None:
    """The case, if its form is whole; what the lints say of it is added to the problems."""
    slips = [problem for problem in sources.problems if problem.severity == "error"]
    if model is None or any(problem.code not in SLIPS for problem in slips):
        return None
    case = build_case(raw, tree, file, sources.hasher.hexdigest())
    sources.problems.extend(judge(case, as_stocked(model, case), names_hold=not slips))
    return case


def _tree(data: bytes, file: str, sources: Sources) -> MapNode | None:
    try:
        return sources.tree(data, file)
    except Refused as refused:
        sources.problems.append(refused.problem)
        return None


def _model_of(raw: Mapping[str, Any], folder: Path, models: Models, reader: Reader) -> Model | None:
    named: Word | None = raw.get("model")
    if named is None:
        return None
    try:
        loaded = models.loaded(str(named), folder)
    except UsageError as error:
        reader.wrong("model", named.where, str(error))
        return None
    if loaded.model is None:
        message = f'the model "{named}" has errors; "faultiso model check" tells them'
        reader.wrong("model", named.where, message)
    return loaded.model
