"""What the program says, by language, filled in with what it knows."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from functools import cache
from importlib import resources

from voicecheck.errors import GrammarError
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Leak,
    LevelSeen,
    ReadingTaken,
)
from voicecheck.round.checklist import Checklist, Checkpoint, Outcome
from voicecheck.round.decision import answer_name
from voicecheck.speech.grammar.numbers import digit_words, say_number

Tables = dict[str, dict[str, str]]


@cache
def tables(language: str) -> Tables:
    """Return the texts of a language.

    Raises:
        GrammarError: there are none.
    """
    file = resources.files(__package__) / "wording" / f"{language}.toml"
    try:
        text = file.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise GrammarError(
            f"no wording for {language!r}: add dialogue/wording/{language}.toml"
        ) from error
    return tomllib.loads(text)


class Wording:
    """Texts of one language for one checklist."""

    def __init__(self, checklist: Checklist, language: str) -> None:
        self.language = language
        self._checklist = checklist
        self._tables = tables(language)

    def say(self, key: str, /, **values: object) -> str:
        """Return one sentence, filled in."""
        return self._tables["say"][key].format(**values)

    def word(self, table: str, key: str) -> str:
        """Return one word or term, for example `("severity", "minor")`."""
        return self._tables[table].get(key, key)

    def outcome(self, outcome: Outcome) -> str:
        """Return the decision in words."""
        return self.word("outcome", outcome.value)

    def point(self, checkpoint: Checkpoint) -> str:
        """Return the prompt of a point as the opening of a sentence."""
        return checkpoint.prompt.rstrip("?.! ") + ":"

    def number(self, value: Decimal) -> str:
        """Return a number digit by digit."""
        return say_number(value, self.language)

    def sign(self, sign: str) -> str:
        """Return the word for one digit, or for the decimal point."""
        if sign == ".":
            return digit_words(self.language).marks[0]
        return say_number(Decimal(sign), self.language)

    def unit(self, checkpoint: Checkpoint) -> str:
        """Return the spoken unit of a reading."""
        spec = checkpoint.reading
        return "" if spec is None else self.word("unit", spec.unit)

    def answer(self, checkpoint: Checkpoint, answer: Answer) -> str:
        """Return an answer in words, for the read-back."""
        name = answer_name(answer)
        values: dict[str, str] = {}
        match answer:
            case Defect():
                values = {
                    "fault": self.word("fault", answer.fault),
                    "severity": self.word("severity", answer.severity),
                }
            case Leak():
                values = {
                    "fluid": self._checklist.fluid(answer.fluid).name,
                    "leak_class": self.word("leak_class", answer.leak_class),
                }
            case CouldNotCheck():
                values = {"reason": self.word("reason", answer.reason)}
            case LevelSeen():
                values = {"level": self.word("level", answer.level)}
            case ReadingTaken():
                values = {
                    "value": self.number(answer.value),
                    "unit": self.unit(checkpoint),
                }
        return self._tables["answer"][name].format(**values).strip()

    def part(self, question: str, meaning: str) -> str:
        """Return one part of an answer in words."""
        for table in (question, "part", "level", "answer"):
            words = self._tables.get(table, {})
            if meaning in words:
                return words[meaning]
        if any(fluid.id == meaning for fluid in self._checklist.fluids):
            return self._checklist.fluid(meaning).name
        return meaning
