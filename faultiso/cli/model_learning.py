"""``faultiso model learn``, ``history``, ``fit`` and ``compare``: what closed work orders say of a model."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.errors import DONE
from faultiso.cli.figures import figure, whole

if TYPE_CHECKING:
    from faultiso.learning.figures import Figure
    from faultiso.learning.history import History
    from faultiso.learning.learn import Learnt
    from faultiso.learning.problem import Strength
    from faultiso.learning.synthetic import Bias, Synthetic
    from faultiso.model.system import Model
    from faultiso.report.pages.learnt import Output

LARGEST_SEED = 2**31 - 1
MOST_ROWS = 2_000_000

Json = Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")]
Html = Annotated[Path | None, typer.Option("--html", metavar="FILE", help="The whole page, into a file.")]
Unmentioned = Annotated[
    str, typer.Option("--unmentioned", help="Indications of which a row says nothing: unknown or normal.")
]
ModelName = Annotated[
    str, typer.Argument(metavar="MODEL", help="A file, or the name of a shipped model.", show_default=False)
]


def learn(
    model: ModelName,
    history: Annotated[
        Path, typer.Argument(metavar="HISTORY.csv", help="Closed work orders.", show_default=False)
    ],
    to: Annotated[
        Path | None,
        typer.Option("--to", metavar="NEW.yaml", help="Write the model with the proposed figures."),
    ] = None,
    html: Html = None,
    factor: Annotated[
        str, typer.Option("--factor", metavar="F", help="The model's rates are good to a factor of F.")
    ] = "3",
    prior_rows: Annotated[
        str, typer.Option("--prior-rows", metavar="N", help="The model's chances count as N rows.")
    ] = "20",
    weak: Annotated[
        str, typer.Option("--weak", metavar="W", help="A unit changed without proof counts W to 1.")
    ] = "3",
    unmentioned: Unmentioned = "unknown",
    json: Json = False,
) -> int:
    """Propose figures from closed work orders, with intervals; --to writes them into a new file."""
    from faultiso.cli.streams import counting
    from faultiso.language.shipped import find_model
    from faultiso.learning.history import load_history
    from faultiso.learning.learn import learn as learn_from
    from faultiso.report.pages.learnt import Output

    strength = _strength(factor, prior_rows, weak)
    path = find_model(model)
    _refuse_over(path, to)
    found = load_history(history, _model(model), _normal(unmentioned))
    _refuse_empty(found)
    with counting("round {0}") as tell:
        learnt = learn_from(_model(model), found.evidence, strength, tell)
    output = Output(str(to or ""), _write(path, learnt, to), str(html or ""))
    _show_learnt(learnt, found, output, html, json)
    return DONE


def _refuse_over(path: Path, to: Path | None) -> None:
    """UsageError if something would be written over: the new file, or one that is included."""
    from faultiso.language.load import load

    if to is None:
        return
    if to.exists():
        raise UsageError(f"{to}: there is already a file of this name; nothing is written over it.")
    for name in (Path(file).name for file in load(path, lint=False).texts):
        beside = to.parent / name
        if name != path.name and beside.exists():
            raise UsageError(
                f"{beside}: what the model includes is written beside the new file, and there is already "
                "a file of this name. Name a file in a folder of its own."
            )


def _normal(unmentioned: str) -> bool:
    if unmentioned not in ("unknown", "normal"):
        raise UsageError(f"--unmentioned is unknown or normal, not {unmentioned[:40]!r}.")
    return unmentioned == "normal"


def _strength(factor: str, prior_rows: str, weak: str) -> Strength:
    from faultiso.learning.conjugate import events_for
    from faultiso.learning.problem import Strength

    return Strength(
        events=events_for(figure("--factor", factor, 1.01, 1000)),
        rows=figure("--prior-rows", prior_rows, 0.1, 1e6),
        weak=figure("--weak", weak, 1, 1e6),
    )


def _refuse_empty(history: History) -> None:
    from faultiso.base.problems import InvalidModel

    if not history.used:
        if history.problems:
            raise InvalidModel(history.problems)
        raise UsageError(f"{history.file}: no row can be used.")


def _write(path: Path, learnt: Learnt, to: Path | None) -> Any:
    """The new file, checked before it is written."""
    if to is None:
        return None
    from faultiso.base.problems import InvalidModel
    from faultiso.language.load import load_files
    from faultiso.learning.places import rewritten
    from faultiso.session.home import write_bytes_whole

    done = rewritten(path, learnt.changed)
    new = load_files({to.name: done.data, **done.included}, to.name, lint=False)
    if new.model is None:
        raise InvalidModel(new.errors)
    for name, data in done.included.items():
        write_bytes_whole(to.parent / name, data)
    write_bytes_whole(to, done.data)
    return done


def _show_learnt(learnt: Learnt, history: History, output: Output, html: Path | None, json: bool) -> None:
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.learnt import learnt_page, learnt_record

    if html is not None:
        from faultiso.cli.output import write_page

        write_page(html, learnt_page(learnt, history, output, whole=True))
    if json:
        sys.stdout.write(document(learnt_record(learnt, history, output), learnt.model.subject))
    else:
        show(learnt_page(learnt, history, output))


def history(
    model: ModelName,
    rows: Annotated[str, typer.Option("--rows", metavar="N", help="How many work orders.")] = "200",
    seed: Annotated[str, typer.Option("--seed", metavar="S", help="Another seed, another history.")] = "0",
    bias: Annotated[
        list[str] | None,
        typer.Option(
            "--bias", help="severe, popular, missing, unproved or unmentioned; popular=0.4 how often."
        ),
    ] = None,
    truth: Annotated[
        str, typer.Option("--truth", help="prior (drawn about the model's figures), model, or a .truth.json.")
    ] = "prior",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where to; the truth is written beside it.")
    ] = None,
) -> int:
    """Draw a history with known truth and known bias, to see what learning makes of it."""
    from faultiso.learning.synthetic import synthetic

    found = _model(model)
    number = whole("--rows", rows, 1, MOST_ROWS)
    start = whole("--seed", seed, 0, LARGEST_SEED)
    true = _truth(found, truth, start)
    _write_history(synthetic(found, number, start, true, _biases(bias or [])), found, out)
    return DONE


def _truth(model: Model, said: str, seed: int) -> dict[Figure, float]:
    from faultiso.learning.problem import Strength
    from faultiso.learning.synthetic import drawn_truth
    from faultiso.learning.writing import told_truth

    if said in ("prior", "model"):
        return drawn_truth(model, Strength(), seed) if said == "prior" else {}
    if not said.endswith(".json"):
        raise UsageError(f"--truth is prior, model, or a file.truth.json; found {said[:40]!r}.")
    return told_truth(Path(said), model)


def _biases(words: list[str]) -> dict[Bias, float]:
    from faultiso.base.nearest import listed, nearest
    from faultiso.learning.synthetic import BIASES

    found: dict[Bias, float] = {}
    for word in words:
        name, _, share = word.partition("=")
        known = next((bias for bias in BIASES if bias == name), None)
        if known is None:
            close = nearest(name, BIASES)
            hint = f"; nearest: {close}" if close else ""
            raise UsageError(f'no bias is called "{name[:40]}"; expected {listed(list(BIASES))}{hint}')
        found[known] = figure("--bias", share, 0, 1) if share else BIASES[known][1]
    return found


def _write_history(drawn: Synthetic, model: Model, out: Path | None) -> None:
    from faultiso.cli.streams import say
    from faultiso.learning.wording import HEADS
    from faultiso.learning.writing import history_rows, truth_record
    from faultiso.report.csv_safe import csv_text
    from faultiso.report.json_output import document
    from faultiso.session.home import write_bytes_whole, write_whole

    text = csv_text(HEADS, history_rows(drawn.orders), model.subject)
    if out is None:
        sys.stdout.write(text)
        return
    beside = out.with_name(f"{out.stem}.truth.json")
    for path in (out, beside):
        if path.exists():
            raise UsageError(f"{path}: there is already a file of this name; nothing is written over it.")
    write_bytes_whole(out, text.encode("utf-8"))
    write_whole(beside, document(truth_record(drawn, model), model.subject))
    say(f"Written: {out}")
    say(f"Written: {beside}")


def fit(
    model: ModelName,
    history: Annotated[
        Path | None, typer.Option("--history", metavar="H.csv", help="Work orders held back.")
    ] = None,
    cases: Annotated[
        Path | None, typer.Option("--cases", metavar="FOLDER", help="Cases of a folder.")
    ] = None,
    html: Html = None,
    json: Json = False,
) -> int:
    """How well a model explains work orders or cases that nothing was learnt from."""
    from faultiso.cli.streams import show
    from faultiso.learning.fit import fit as fit_to
    from faultiso.learning.minutes import repair_minutes
    from faultiso.report.json_output import document
    from faultiso.report.pages.model_fit import fit_page, fit_record

    found = _model(model)
    evidence, said = _held(found, history, cases)
    judged = fit_to(found, evidence)
    minutes = repair_minutes(found, judged.judged)
    page = fit_page(judged, minutes, said)
    if html is not None:
        from faultiso.cli.output import write_page

        write_page(html, page)
    if json:
        sys.stdout.write(document({**fit_record(judged, minutes), "about": said}, found.subject))
    else:
        show(page)
    return DONE


def _held(model: Model, history: Path | None, cases: Path | None) -> tuple[Any, list[str]]:
    """The rows, and sentences about where they come from."""
    if (history is None) == (cases is None):
        raise UsageError("say which rows: --history FILE or --cases FOLDER, one of them.")
    if history is not None:
        from faultiso.learning.history import load_history
        from faultiso.report.pages.history_words import counts_words, problem_lines

        found = load_history(history, model)
        _refuse_empty(found)
        return found.evidence, [counts_words(found), *problem_lines(found)]
    from faultiso.base.nearest import listed
    from faultiso.cli.case_places import models
    from faultiso.learning.held import cases_held

    assert cases is not None
    held = cases_held(cases, model, models())
    said = [f"{cases}: {len(held.names)} cases about {model.name}. Cases are chosen to teach, not at random."]
    if held.others:
        said.append(f"Not used: {listed(held.others, 'and', limit=12)}.")
    return held.evidence, said


def compare(
    first: Annotated[str, typer.Argument(metavar="A", help="A model.", show_default=False)],
    second: Annotated[str, typer.Argument(metavar="B", help="Another version of it.", show_default=False)],
    history: Annotated[Path, typer.Option("--history", metavar="H.csv", help="Work orders held back.")],
    html: Html = None,
    json: Json = False,
) -> int:
    """Two versions of a model on the same work orders, with the difference and its interval."""
    from faultiso.cli.streams import show
    from faultiso.learning.comparing import compare as compare_fits
    from faultiso.learning.fit import fit as fit_to
    from faultiso.learning.history import load_beside
    from faultiso.report.json_output import document
    from faultiso.report.pages.history_words import counts_words
    from faultiso.report.pages.model_fit import comparison_page, comparison_record

    a, b = _model(first), _model(second)
    beside = load_beside(history, a, b)
    for each in beside.histories:
        _refuse_empty(each)
    found = compare_fits(*(fit_to(m, e) for m, e in zip((a, b), beside.evidences, strict=True)))
    said = [
        f"{name}: {counts_words(each)}" for name, each in zip((first, second), beside.histories, strict=True)
    ]
    page = comparison_page(found, (first, second), said)
    if html is not None:
        from faultiso.cli.output import write_page

        write_page(html, page)
    if json:
        sys.stdout.write(document({**comparison_record(found), "about": said}, b.subject))
    else:
        show(page)
    return DONE


def _model(name_or_path: str) -> Model:
    from faultiso.language.load import read_model
    from faultiso.language.shipped import find_model

    return read_model(find_model(name_or_path))
