"""What an assessor may say while watching: marks, steps, and jumps to a zone."""

from __future__ import annotations

import re
from functools import cache

from voicecheck.errors import GrammarError
from voicecheck.round.checklist import Checklist
from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.files import Grammar
from voicecheck.speech.ports import ActiveSet, Phrase

QUESTION = "marks"
GO_TO = "go_to:"
"""A meaning that begins so is a jump; the id of the zone follows."""

_JUMP = {"en": "go to {zone}", "ko": "{zone} 이동"}
_LEADING = {"en": ("the ",), "ko": ()}


@cache
def mark_grammar(language: str) -> Grammar:
    """Read the grammar of the marks.

    Raises:
        GrammarError: there is none in this language, or the file is wrong.
    """
    path = files.folder() / language / "observe" / f"{QUESTION}.jsgf"
    if not path.is_file():
        raise GrammarError(
            f"marks cannot be said in {language!r} yet: add grammars/{language}/"
            f"observe/{QUESTION}.jsgf, or mark on the page"
        )
    return files.parse(path, language)


def mark_set(checklist: Checklist, language: str = "") -> ActiveSet:
    """Return everything that may be said during one observation.

    Args:
        checklist: its zones can be jumped to by their titles.
        language: of the words; empty: that of the checklist.
    """
    language = language or checklist.language
    jumps = {
        _JUMP[language].format(zone=plain_title(zone.title, language)): zone.id
        for zone in checklist.zones
    }
    if len(jumps) < len(checklist.zones):
        raise GrammarError(
            f"two zones of {checklist.name} are called alike; give each a title of "
            "its own, or mark on the page"
        )
    return ActiveSet(
        question=QUESTION,
        language=language,
        phrases=(
            *mark_grammar(language).phrases,
            *(Phrase(text=t, meaning=f"{GO_TO}{zone}") for t, zone in jumps.items()),
        ),
    )


def plain_title(title: str, language: str) -> str:
    """Return a title as it is said: small letters, no signs, no "the" before it."""
    words = " ".join(re.findall(r"[\w']+", title.lower()))
    for leading in _LEADING.get(language, ()):
        words = words.removeprefix(leading)
    return words
