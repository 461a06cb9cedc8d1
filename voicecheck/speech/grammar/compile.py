"""Write an active set for each engine."""

from __future__ import annotations

from voicecheck.speech.grammar.numbers import digit_words
from voicecheck.speech.ports import ActiveSet

_LONGEST_NUMBER = 7
"""Most digits before the point: longer is no reading but a running engine."""


def jsgf_source(active: ActiveSet, without: str = "") -> str:
    """Return the set as one JSGF grammar with one public rule.

    Args:
        active: what may be said.
        without: a phrase to leave out, to find the next best one; a number
            leaves out all numbers.
    """
    phrases = [p.text for p in active.phrases if p.text != without]
    is_number = bool(without) and active.phrase(without) is None
    rules = ""
    if active.numbers and not is_number:
        words = digit_words(active.language)
        phrases.append("<spoken>")
        rules = (
            "<spoken> = <whole> [<mark> <digit> [<digit>]];\n"
            f"<whole> = {_up_to(_LONGEST_NUMBER)};\n"
            f"<digit> = {' | '.join(words.digits)};\n"
            f"<mark> = {' | '.join(words.marks)};\n"
        )
    return (
        f"#JSGF V1.0 UTF-8 {active.language};\ngrammar active;\n"
        f"public <active> = {' | '.join(phrases)};\n{rules}"
    )


def _up_to(count: int) -> str:
    """One to `count` digits, without an endless loop."""
    text = "<digit>"
    for _ in range(count - 1):
        text = f"<digit> [{text}]"
    return text


def vosk_phrases(active: ActiveSet) -> list[str]:
    """Return the set as the list of phrases that Vosk takes."""
    phrases = [phrase.text for phrase in active.phrases]
    if active.numbers:
        words = digit_words(active.language)
        phrases += [*words.digits, *words.marks]
    return list(dict.fromkeys(phrases))
