"""Questions with a list, letters or a text for an answer, until somebody has had enough."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from faultiso.cli.console import Console
    from faultiso.session.prompt import Meaning, Offer
    from faultiso.session.search import Findable

QUIT = ("quit",)


class Enough(Exception):
    """The person typed quit: what was answered so far is to be kept."""


class Asker:
    """Asks at a console. Enter alone leaves a question open, or takes what is proposed."""

    def __init__(self, console: Console) -> None:
        self.console = console

    def say(self, text: str) -> None:
        """A line of narration, as wide as the screen."""
        from faultiso.base.text import clean, wrap
        from faultiso.cli.streams import columns_of

        for line in wrap(clean(text), columns_of(sys.stderr)):
            self.console.say(line)

    def text(self, prompt: str, proposed: str = "") -> str:
        """A line of text."""
        from faultiso.base.text import one_line

        hint = f" (Enter: {proposed})" if proposed else ""
        line = one_line(self.console.ask(f"{prompt}{hint} > ", prompt), 4000)
        if line.casefold() in QUIT:
            raise Enough
        return line or proposed

    def one(self, question: str, things: Sequence[Findable], proposed: int = 0) -> Findable | None:
        """One of a numbered list; ``proposed``: the number that Enter takes, 0 for none."""
        self._listed(question, things)
        hint = f"or Enter for {proposed}" if proposed else "or Enter to leave it open"
        return self._picked(
            f"Number, {hint} > ", question, things, things[proposed - 1] if proposed else None
        )

    def some(self, question: str, things: Sequence[Findable]) -> Iterator[Findable]:
        """Things by a few letters each, Enter when done."""
        self.say(f"{question} A few letters each, Enter when done.")
        while (found := self._picked("> ", question, (), None, things)) is not None:
            self.say(f"  {found.title}")
            yield found

    def _listed(self, question: str, things: Sequence[Findable]) -> None:
        from faultiso.base.text import clean, wrap
        from faultiso.cli.streams import columns_of

        self.say(question)
        for number, thing in enumerate(things, 1):
            for line in wrap(clean(thing.title), columns_of(sys.stderr), f"  {number}  "):
                self.console.say(line)

    def _picked(
        self,
        prompt: str,
        question: str,
        choices: Sequence[Findable],
        proposed: Findable | None,
        things: Sequence[Findable] = (),
    ) -> Findable | None:
        from faultiso.session.prompt import Choices, Nothing, Offer, Pick, Slip

        offer = Offer(QUIT, tuple(choices), tuple(things))
        while True:
            match self.meaning(prompt, question, offer):
                case Nothing():
                    return proposed
                case Pick(thing):
                    return thing
                case Choices(found) as several:
                    self._listed("Which of these?", found)
                    if several.hint:
                        self.say(several.hint)
                    offer = Offer(QUIT, found, tuple(things) or tuple(choices))
                case Slip(sentence):
                    self.say(sentence)
                case _:
                    self.say("A number or a few letters.")

    def meaning(self, prompt: str, question: str, offer: Offer) -> Meaning:
        """What the next line means."""
        from faultiso.session.prompt import Command, understand

        found = understand(self.console.ask(prompt, question), offer)
        if isinstance(found, Command):
            raise Enough
        return found
