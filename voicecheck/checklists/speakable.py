"""Can a text be spoken as it is written, and how long does it take?

Speaking rates are common practice, no source: about 15 letters a second in
English, about 6 syllables (one Hangul block each) a second in Korean.
"""

from __future__ import annotations

import re

_EN_LETTERS_A_SECOND = 15.0
_KO_SYLLABLES_A_SECOND = 6.0
_PLAIN = {
    "en": re.compile(r"[A-Za-z '’,.?!:;-]*"),
    "ko": re.compile(r"[가-힣 ',.?!:;-]*"),
}
_ABBREVIATIONS = frozenset(
    {"approx", "cm", "eg", "etc", "hr", "hrs", "ie", "kg", "km", "kpa", "mm", "psi"}
    | {"rpm", "sec", "temp", "vs"}
)


def unspeakable(text: str, language: str) -> tuple[str, ...]:
    """Return the parts of a text at which a voice would stumble, as written.

    Args:
        text: a spoken text.
        language: ISO 639 code; in languages other than en and ko only digits
            and symbols are looked for.
    """
    plain = _PLAIN.get(language)
    if plain is None:
        return tuple(re.findall(r"[^\w\s',.?!:;-]|\d+", text))
    words = text.split()
    bad = [word for word in words if not plain.fullmatch(word)]
    if language == "en":
        bad += [word for word in words if word not in bad and _is_abbreviation(word)]
    return tuple(bad)


def _is_abbreviation(word: str) -> bool:
    letters = re.sub(r"[^A-Za-z]", "", word)
    lower = letters.lower()
    if any(letter.isupper() for letter in letters[1:]):
        return True
    if lower in _ABBREVIATIONS:
        return True
    return len(letters) > 1 and not re.search("[aeiouy]", lower)


def spoken_s(text: str, language: str) -> float:
    """Return about how long a text takes to say, in seconds."""
    if language == "ko":
        return len(re.findall("[가-힣]", text)) / _KO_SYLLABLES_A_SECOND
    return len(text) / _EN_LETTERS_A_SECOND
