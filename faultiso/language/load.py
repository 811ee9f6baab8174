"""The only way in: a file or a text to a Model, with every problem of the file in one run."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from faultiso.base.problems import InvalidModel, Problem, WithProblems
from faultiso.language.build import build_model
from faultiso.language.kinds import Reader
from faultiso.language.lints import judge
from faultiso.language.names import judge_names
from faultiso.language.nodes import Refused
from faultiso.language.shape import MODEL
from faultiso.language.sources import Sources, with_includes
from faultiso.language.templates import expanded
from faultiso.model.system import Model


@dataclass(frozen=True)
class Loaded(WithProblems):
    """A model, or None if there is an error; what is wrong, in file order; the texts by file name.

    ``files``: every file that it is read from, those that could not be read too.
    """

    model: Model | None
    problems: tuple[Problem, ...] = ()
    texts: Mapping[str, str] = field(default_factory=dict, repr=False)
    files: tuple[str, ...] = ()


def load(path: str | Path, lint: bool = True) -> Loaded:
    """Read the model in a file, with what it includes. Without ``lint`` only what must hold is judged."""
    return _read(Path(path), lint, Sources())


def load_files(files: Mapping[str, bytes], main: str, lint: bool = True) -> Loaded:
    """Read the model ``main`` among files in memory, by paths with "/"; nothing is read from a disk."""
    return _read(Path(main), lint, Sources(at_hand=files))


def load_text(text: str, file: str = "<text>", lint: bool = True) -> Loaded:
    """Read the model in a text; ``file`` is what problems call it."""
    return _loaded(text.encode("utf-8", "surrogatepass"), file, None, lint, Sources())


def read_model(path: str | Path) -> Model:
    """The model in a file; InvalidModel with all its errors if it has any."""
    loaded = load(path, lint=False)
    if loaded.model is None:
        raise InvalidModel(loaded.errors)
    return loaded.model


def _read(path: Path, lint: bool, sources: Sources) -> Loaded:
    file = str(path)
    try:
        data = sources.content(path, file)
    except Refused as refused:
        return Loaded(None, (refused.problem,))
    return _loaded(data, file, path.parent, lint, sources)


def _loaded(data: bytes, file: str, folder: Path | None, lint: bool, sources: Sources) -> Loaded:
    try:
        model = _model(data, file, folder, lint, sources)
    except Refused as refused:
        sources.problems.append(refused.problem)
        model = None
    problems = _in_file_order(sources.problems, file)
    failed = any(problem.severity == "error" for problem in problems)
    return Loaded(None if failed else model, problems, dict(sources.texts), tuple(sources.files))


def _model(data: bytes, file: str, folder: Path | None, lint: bool, sources: Sources) -> Model | None:
    root = sources.tree(data, file)
    if root is None:
        return None
    tree = expanded(with_includes(root, folder, sources), sources)
    reader = Reader(sources.problems)
    raw = MODEL.read(tree, reader)
    if raw is None:
        return None
    judge_names(raw, reader)
    errors = [problem for problem in sources.problems if problem.severity == "error"]
    if any(problem.code not in SLIPS for problem in errors):
        return None
    model = build_model(raw, file, sources.hasher.hexdigest())
    sources.problems.extend(_news(judge(model, thorough=lint), errors))
    return model


#: mistakes that leave the form whole: the sense can still be judged, so that one run tells everything
SLIPS = frozenset({"name", "level", "bounds"})


def _news(found: list[Problem], slips: list[Problem]) -> Iterable[Problem]:
    """What the lints found, but for what is only the echo of a slip in a name."""
    meant = {slip.nearest for slip in slips if slip.nearest}
    for problem in found:
        if not meant.intersection(re.findall(r"[\w.-]*\w", problem.message)):
            yield problem


def _in_file_order(problems: list[Problem], file: str) -> tuple[Problem, ...]:
    """Each once, the main file first, by line and column."""
    return tuple(
        sorted(dict.fromkeys(problems), key=lambda problem: (problem.where.file != file, problem.where))
    )
