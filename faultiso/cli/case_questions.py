"""The questions of ``case new``, in the order in which a case is thought of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any
from zlib import crc32

if TYPE_CHECKING:
    from faultiso.casebook.models import Models
    from faultiso.cli.asking import Asker
    from faultiso.model.parts import Check, Indication
    from faultiso.model.system import Model
    from faultiso.session.search import Findable

_KINDS = ("nothing wrong", "single", "double")
MOST_HINTS = 3


class Questions:
    """Asks, and keeps what was answered in ``values``, as it stands in a case file."""

    def __init__(self, asker: Asker, known: Models) -> None:
        self.values: dict[str, Any] = {"state": "draft", "version": "0.1"}
        self.model: Model | None = None
        self._asker, self._known = asker, known

    def ask(self) -> None:
        """All of them. Raises ``Enough``, ``OutOfAnswers`` or ``Left`` where somebody stops."""
        model = self._system()
        self._text("title", "Title, giving nothing away")
        if title := self.values.get("title"):
            self.values["seed"] = crc32(title.encode()) >> 1
        self._text("write_up", "Write-up, as the crew would word it")
        self._seen(model)
        self._now(model)
        self._truth(model)
        self._end(model)
        self._teaching()
        self._people()

    def _system(self) -> Model:
        from faultiso.cli.case_places import model_named
        from faultiso.language.shipped import shipped_models
        from faultiso.session.home import home
        from faultiso.session.search import Findable

        own = sorted(path.stem for path in home().models.glob("*.yaml"))
        names = list(dict.fromkeys((*own, *shipped_models())))
        things = [Findable(name, name.replace("-", " ")) for name in names]
        found = self._asker.one("Which system?", things, proposed=1)
        assert found is not None
        self.values["model"] = found.name
        self.model = model_named(found.name, self._known)
        self.values["model_version"] = self.model.review.version
        return self.model

    def _text(self, key: str, prompt: str, proposed: str = "") -> None:
        if answer := self._asker.text(prompt, proposed):
            self.values[key] = answer

    # what was seen

    def _seen(self, model: Model) -> None:
        found = self._asker.one("When it was seen it was:", _situations(model))
        if found is None:
            return
        reports: dict[str, str] = {}
        seen = {"situation": found.name, "reports": reports}
        signs = [_findable(sign) for sign in model.indications.values()]
        for thing in self._asker.some("What was reported?", signs):
            reports[thing.name] = self._outcome(model.indications[thing.name])
            self.values["seen"] = [seen]
        others = self._asker.one("Were the others looked at?", _words("normal", "unknown"), proposed=2)
        if others is not None:
            seen["others"] = others.name

    def _outcome(self, sign: Indication | Check) -> str:
        """What it showed: an outcome, a number with its unit, or nk."""
        from faultiso.base.numbers import NotKnown, Understood
        from faultiso.base.problems import UsageError
        from faultiso.belief.evidence import Reading, weights
        from faultiso.session.prompt import Offer, Pick
        from faultiso.session.search import Findable
        from faultiso.session.words import outcome_words

        things = tuple(Findable(outcome, outcome_words(sign, outcome)) for outcome in sign.outcomes)
        number = f", a number in {sign.unit}" if sign.ranges else ""
        self._asker.say(f"It showed: {', '.join(thing.title for thing in things)}{number}, or nk")
        offer = Offer(("quit",), things, (), sign.unit if sign.ranges else None)
        while True:
            match self._asker.meaning("  > ", sign.title, offer):
                case NotKnown():
                    return "nk"
                case Pick(thing):
                    return thing.name
                case Understood(value=value):
                    try:
                        weights(Reading(sign.name, number=value), sign)
                        return f"{value:g} {sign.unit}".strip()
                    except UsageError as error:
                        self._asker.console.say(f"  {error}.")
                case _:
                    self._asker.console.say("  One of these, please.")

    def _now(self, model: Model) -> None:
        found = self._asker.one("And now, when the work begins?", _situations(model), proposed=1)
        if found is not None:
            self.values["now"] = {"situation": found.name}

    # what is hidden

    def _truth(self, model: Model) -> None:
        from faultiso.session.search import Findable
        from faultiso.session.words import fault_words

        faults = [Findable(f.name, fault_words(model, f.name), f.also) for f in model.faults.values()]
        truth: list[str] = []
        for fault in self._asker.some("What is wrong?", faults):  # kept at once: who leaves here loses none
            truth += [fault.name] if fault.name not in truth else []
            self._hide(model, truth)
        if not truth:
            sure = self._asker.one(
                "Then nothing is wrong?", _words("nothing is wrong", "leave it open"), proposed=2
            )
            if sure is None or sure.name != "nothing is wrong":
                return
            self._hide(model, truth)

    def _hide(self, model: Model, truth: list[str]) -> None:
        self.values["truth"] = truth
        kinds = [*_KINDS[len(truth) : len(truth) + 1]]
        if any(model.faults[name].intermittent for name in truth):
            kinds.append("intermittent")
        self.values["kinds"] = kinds or None

    def _end(self, model: Model) -> None:
        from faultiso.casebook.case import ENDS
        from faultiso.casebook.repairing import unrepairable

        truth = self.values.get("truth")
        likely = 0
        if truth is not None:
            end = "no fault found" if not truth else "refer" if unrepairable(model, truth) else "rectified"
            likely = ENDS.index(end) + 1
        found = self._asker.one("How should the work end?", _words(*ENDS), proposed=likely)
        if found is not None:
            self.values["right_end"] = found.name

    # what it teaches

    def _teaching(self) -> None:
        from faultiso.casebook.case import STAGES
        from faultiso.session.home import safe_name

        stage = self._asker.one("For whom is it?", _words(*STAGES))
        if stage is not None:
            self.values["stage"] = stage.name
        while text := self._asker.text("What is learned, in a sentence (Enter: no more)"):
            name = self._asker.text("A short name for that, which other cases may share", "aim")
            aim: Mapping[str, str] = {"aim": safe_name(name).replace("-", "_"), "text": text}
            self.values["aims"] = [*self.values.get("aims", ()), aim]
        for prompt in ("A weak hint", "A stronger one", "The strongest")[:MOST_HINTS]:
            hint = self._asker.text(prompt)
            if not hint:
                break
            self.values["hints"] = [*self.values.get("hints", ()), hint]
        self._text("good_solution", "A good way through, for the debrief")

    def _people(self) -> None:
        self._text("author", "Author, a desk or a person who agreed to be named")


def _findable(sign: Indication | Check) -> Findable:
    from faultiso.session.search import Findable

    return Findable(sign.name, sign.title, sign.also)


def _situations(model: Model) -> list[Findable]:
    from faultiso.session.search import Findable

    return [Findable(situation.name, situation.title) for situation in model.situations.values()]


def _words(*words: str) -> list[Findable]:
    from faultiso.session.search import Findable

    return [Findable(word, word) for word in words]
