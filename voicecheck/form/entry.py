"""What is typed at one question, taken apart: an answer, a command, or neither.

An answer may be typed as the number beside it, as a word (that shown, any
synonym of the grammar, or the name that records use), or as a first letter
that no other answer begins with. No other shortening is understood, and "not
fitted" has no letter: somebody may type n for no.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from voicecheck.form.texts import command_words, hint
from voicecheck.round.checklist import ReadingSpec
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.grammar.files import CONTROLS, load
from voicecheck.speech.grammar.numbers import parse_number

_ALSO = {
    "back": "back",
    "skip": "skip",
    "repeat": "repeat",
    "help": "help",
    "?": "help",
    "left": "remaining",
    "note": "note",
    "pause": "pause",
    "quit": "pause",
    "stop": "stop",
}
"""Commands that are understood in every language."""

_TYPED = {"en": {"yes": ("affirmative",), "leak": ("leaking",)}}
"""Words that may be typed but not said: heard, they are too near to others."""
_NO_LETTER = "not_fitted"
_NUMBER = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*(\D*)", re.ASCII)
_COMMAS = re.compile(r"[+-]?\d[\d.]*,[\d.,]*\s*\D*", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer that can be chosen."""

    key: str
    """What is shown beside it: a number, or a letter where numbers are values."""
    meaning: str
    text: str
    hint: str
    words: frozenset[str]
    """All that may be typed for it, folded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What may be typed now, commands apart."""

    language: str
    choices: tuple[Choice, ...]
    reading: ReadingSpec | None = None
    """Set when a number may be typed."""
    unit_words: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """An answer was typed."""

    meaning: str
    text: str
    """As typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command was typed."""

    meaning: str
    text: str = ""
    """What stands behind the word; of a note only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unclear:
    """Neither; `key` and `values` name the sentence that says why."""

    key: str
    values: dict[str, object]


Typed = Chosen | Command | Unclear


def choices_at(
    question: str,
    language: str,
    meanings: Iterable[str] | None,
    text_of: Callable[[str], str],
) -> tuple[Choice, ...]:
    """Return the answers of a question in the order of its grammar.

    Args:
        question: name of a grammar file.
        language: of the grammar.
        meanings: those that fit; None: all.
        text_of: gives the words of a meaning.

    Raises:
        GrammarError: there is no such grammar.
    """
    active = active_set(question, language, meanings)
    phrases: dict[str, list[str]] = {}
    for phrase in active.phrases:
        if not phrase.control:
            phrases.setdefault(phrase.meaning, []).append(phrase.text)
    texts = {meaning: text_of(meaning) for meaning in phrases}
    counts = Counter(folded(text)[:1] for text in texts.values())
    choices = []
    for number, (meaning, said) in enumerate(phrases.items(), 1):
        text = texts[meaning]
        initial = folded(text)[:1]
        letter = initial if counts[initial] == 1 and meaning != _NO_LETTER else ""
        key = (letter or text) if active.numbers else str(number)
        typed = _TYPED.get(language, {}).get(meaning, ())
        words = {key, meaning, meaning.replace("_", " "), text, letter, *said, *typed}
        choices.append(
            Choice(
                key=key,
                meaning=meaning,
                text=text,
                hint=hint(language, meaning),
                words=frozenset(folded(word) for word in words if word),
            )
        )
    return tuple(choices)


def parse(text: str, entry: Entry) -> Typed:
    """Take apart what was typed, an answer before a command."""
    plain = folded(text)
    if not plain:
        return Unclear(key="nothing_typed", values={})
    found = {choice.meaning for choice in entry.choices if plain in choice.words}
    if len(found) == 1:
        return Chosen(meaning=found.pop(), text=text.strip())
    command = _command(text, entry.language)
    if command is not None:
        return command
    if entry.reading is not None:
        return _number(text, plain, entry, entry.reading)
    return Unclear(key="not_understood", values={"text": text.strip()})


def folded(text: str) -> str:
    """Return a text without differences of case, width and spacing."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _commands(language: str) -> dict[str, str]:
    """Return folded word → meaning of every command."""
    words = {p.text: p.meaning for p in load(CONTROLS, language).phrases}
    words.update({word: what for what, word in command_words(language).items()})
    words.update(_ALSO)
    return {folded(word): meaning for word, meaning in words.items()}


def _command(text: str, language: str) -> Command | None:
    commands = _commands(language)
    plain = folded(text)
    if plain in commands:
        return Command(meaning=commands[plain])
    for word, meaning in commands.items():
        if meaning == "note" and plain.startswith(word + " "):
            behind = " ".join(text.split()).split(" ", len(word.split()))[-1]
            return Command(meaning="note", text=behind)
    return None


def _number(text: str, plain: str, entry: Entry, spec: ReadingSpec) -> Typed:
    """Read a number in digits or in digit words, with or without its unit."""
    shown = {"text": text.strip()}
    if _COMMAS.fullmatch(plain):
        return Unclear(key="comma", values={})
    match = _NUMBER.fullmatch(plain)
    if match is not None:
        value, unit = Decimal(match[1]), match[2].strip()
        if unit and not any(c.isalpha() or c == "%" for c in unit):
            return Unclear(key="not_a_number", values=dict(shown))
    else:
        spoken, unit = _without_unit(plain, entry.unit_words), ""
        parsed = parse_number(spoken, entry.language)
        if parsed is None:
            return Unclear(key="not_a_number", values=dict(shown))
        value = parsed
    if unit and unit not in entry.unit_words:
        values: dict[str, object] = {"unit": spec.unit, "given": unit}
        return Unclear(key="wrong_unit", values=values)
    exponent = value.normalize().as_tuple().exponent
    if isinstance(exponent, int) and -exponent > spec.decimals:
        return Unclear(key="too_many_digits", values={"decimals": spec.decimals})
    return Chosen(meaning=str(value), text=text.strip())


def _without_unit(plain: str, unit_words: frozenset[str]) -> str:
    for word in unit_words:
        if plain.endswith(" " + word):
            return plain.removesuffix(" " + word)
    return plain
