"""``faultiso model new``: a model begun by questions."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.cli.errors import DONE, LEFT, WRONG_USE

if TYPE_CHECKING:
    from faultiso.base.notice import Subject
    from faultiso.cli.asking import Asker

LONGEST_TITLE = 80  # characters; it stands in narrow tables
_SUBJECTS: dict[str, tuple[Subject, str]] = {
    "rig": ("training_rig", "a training rig"),
    "invented": ("invented", "an invented system"),
    "generic": ("generic", "a system as there are many, no particular one"),
}


def new(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The file to write, new, .yaml.", show_default=False)
    ],
    answers: Annotated[
        Path | None, typer.Option("--answers", metavar="FILE", help="The lines to type, from a file.")
    ] = None,
) -> int:
    """Begin a model by five questions: a small one, valid and good to edit. Enter takes what is proposed."""
    from faultiso.cli.asking import Asker, Enough
    from faultiso.cli.console import Left, OutOfAnswers, open_console
    from faultiso.cli.model_places import new_file

    new_file(file)
    console = open_console(answers)
    asked = _Questions(Asker(console), file.stem)
    code = DONE
    try:
        asked.ask()
    except Enough:
        console.say("The rest is as proposed.")
    except OutOfAnswers as ran_out:
        console.say(str(ran_out))
        code = WRONG_USE
    except Left:
        code = LEFT
    return _written(asked, file, code) if asked.begun else code or WRONG_USE


class _Questions:
    """Asks; what is not answered is as proposed. ``begun``: whether anything was answered."""

    def __init__(self, asker: Asker, stem: str) -> None:
        from faultiso.base.text import one_line

        self._asker = asker
        self.title = one_line(stem.replace("-", " ").replace("_", " "), LONGEST_TITLE) or "a system"
        self.subject: Subject = "training_rig"
        self.unit, self.indication, self.dark = "pump", "low pressure light", ""
        self.begun = False

    def ask(self) -> None:
        """All of them. Raises ``Enough``, ``OutOfAnswers`` or ``Left`` where somebody stops."""
        self._asker.say("A start to edit: one unit, one light or gauge, one check.")
        self.title = self._titled("What is the system called?", self.title)
        self.begun = True
        self.subject = self._kind()
        self.unit = self._titled("Its main unit that can be changed?", self.unit)
        self.indication = self._titled("A light or gauge that tells about it?", self.indication)
        self.dark = self._titled("When is it quiet on purpose, such as: motor stopped? (Enter: never)", "")

    def _kind(self) -> Subject:
        from faultiso.session.search import Findable

        things = [Findable(name, title) for name, (_, title) in _SUBJECTS.items()]
        found = self._asker.one("What is it?", things, proposed=1)
        assert found is not None  # Enter takes the first
        return _SUBJECTS[found.name][0]

    def _titled(self, question: str, proposed: str) -> str:
        """A text that can be a title; what cannot costs a sentence and the same question."""
        while True:
            text = self._asker.text(question, proposed)
            wrong = _wrong_with(text)
            if not wrong:
                return text
            self._asker.say(wrong)


def _wrong_with(title: str) -> str:
    """One sentence if this cannot be a title, else ""."""
    from faultiso.base.problems import Where
    from faultiso.drafting.wording import judged

    if len(title) > LONGEST_TITLE:
        return f"At most {LONGEST_TITLE} characters; the rest has its place in about."
    found = next(judged([(title, Where())]), None)
    return f"{found.message}." if found else ""


def _written(asked: _Questions, file: Path, code: int) -> int:
    """Write the model and its schema, and say what ``model check`` says of it."""
    from faultiso.cli.model_places import checked_page, schema_beside, schema_name, tell, written_new
    from faultiso.cli.streams import show
    from faultiso.drafting.start import Answers, start_text

    answers = Answers(asked.title, asked.unit, asked.indication, asked.dark, asked.subject)
    text = start_text(answers, file.stem, schema_name(file))
    written_new(file, text)
    schema = schema_beside(file)
    show(checked_page(file))
    tell(
        f"Written: {file}, {text.count(chr(10))} lines. For your editor: {schema.name}",
        f"Try: faultiso model check {file} --watch",
        f"Try: faultiso isolate {file}",
    )
    return code
