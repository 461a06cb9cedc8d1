"""Spoken numbers: digit words to a value and back.

Numbers are said digit by digit, as in radio procedure (ICAO Annex 10 volume
II, 5.2.1.4.1.1 and 5.2.1.4.3). Korean digit words: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from voicecheck.errors import GrammarError


@dataclass(frozen=True, slots=True, kw_only=True)
class DigitWords:
    """The words of one language."""

    digits: dict[str, str]
    """Word to digit; the first word of a digit is the one that we say."""
    marks: tuple[str, ...]
    """Words for the decimal point; the first is the one that we say."""
    minus: str


_WORDS = {
    "en": DigitWords(
        digits={
            "zero": "0",
            "one": "1",
            "two": "2",
            "three": "3",
            "four": "4",
            "five": "5",
            "six": "6",
            "seven": "7",
            "eight": "8",
            "nine": "9",
            "niner": "9",
        },
        marks=("point", "decimal"),
        minus="minus",
    ),
    "ko": DigitWords(
        digits={
            "영": "0",
            "공": "0",
            "일": "1",
            "이": "2",
            "삼": "3",
            "사": "4",
            "오": "5",
            "육": "6",
            "칠": "7",
            "팔": "8",
            "구": "9",
        },
        marks=("점",),
        minus="마이너스",
    ),
}


def digit_words(language: str) -> DigitWords:
    """Return the digit words of a language; GrammarError when there are none."""
    try:
        return _WORDS[language]
    except KeyError as error:
        raise GrammarError(f"no digit words for the language {language!r}") from error


def parse_number(text: str, language: str) -> Decimal | None:
    """Turn digit words into a value.

    Args:
        text: words separated by spaces, for example "four five point three".
        language: for example "en".

    Returns:
        The value, or None when the words are not one number.
    """
    words = digit_words(language)
    written = ""
    for word in text.split():
        if word in words.digits:
            written += words.digits[word]
        elif word in words.marks and written and "." not in written:
            written += "."
        else:
            return None
    if not written or written.endswith("."):
        return None
    return Decimal(written)


def say_number(value: Decimal, language: str) -> str:
    """Return the digit words of a value: 1.225 is "one point two two five"."""
    words = digit_words(language)
    spoken: dict[str, str] = {}
    for word, digit in words.digits.items():
        spoken.setdefault(digit, word)
    said = [words.minus] if value < 0 else []
    for sign in format(abs(value), "f"):
        said.append(words.marks[0] if sign == "." else spoken[sign])
    return " ".join(said)
