"""What the benchmark voices say: our phrases, near words and chatter.

The grammar files are the truth about what may be said. This list is what the
small network was trained to tell apart; `missing_from` names the phrases of a
grammar that it has no class for, which must then be heard by the grammar
engine or by enrolment.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path

import numpy as np

__all__ = [
    "CHATTER_SENTENCES",
    "CONTRARY",
    "ELEVEN",
    "NEAR_WORDS",
    "OTHER",
    "PHRASES",
    "QUESTIONS",
    "SPELLINGS",
    "chatter_words",
    "dictionary_words",
    "label_of",
    "missing_from",
]

QUESTIONS: dict[str, tuple[str, ...]] = {
    "condition": (
        "good",
        "all in order",
        "okay",
        "defect",
        "leak",
        "leaking",
        "not fitted",
        "cannot check",
        "unable",
    ),
    "confirmation": (
        "yes",
        "no",
        "affirm",
        "affirmative",
        "negative",
        "correct",
        "wrong",
    ),
    "severity": ("minor", "major", "critical"),
    "leak class": (
        "one",
        "two",
        "three",
        "class one",
        "class two",
        "class three",
        "only wet",
        "drops hanging",
        "dripping",
    ),
    "level": (
        "full",
        "up to the mark",
        "high",
        "between",
        "between the marks",
        "low",
        "empty",
    ),
    "fluid": (
        "engine oil",
        "hydraulic oil",
        "hydraulic",
        "transmission oil",
        "transmission",
        "axle oil",
        "gear oil",
        "battery acid",
        "brake oil",
        "brake fluid",
        "coolant",
        "fuel",
        "diesel",
        "exhaust fluid",
        "grease",
        "washer fluid",
        "water",
        "unknown",
    ),
    "fault": (
        "cracked",
        "bent",
        "loose",
        "missing",
        "worn",
        "damaged",
        "corroded",
        "rusted",
        "plugged",
        "dirty",
        "cut",
        "cut open",
        "broken",
        "noisy",
        "torn",
        "burnt",
        "stuck",
        "blocked",
        "not working",
    ),
    "digit": (
        "zero",
        "oh",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "niner",
        "point",
        "decimal",
    ),
    "control": (
        "repeat",
        "say again",
        "help",
        "go back",
        "correction",
        "skip",
        "pause",
        "carry on",
        "how many left",
        "note",
        "make a note",
        "stop",
        "stop the walk",
        "continue",
        "ready",
        "next",
        "finished",
    ),
    "reason": (
        "no access",
        "too dark",
        "too dirty",
        "too hot",
        "unsafe",
        "no tool",
    ),
    "safety": ("feet down", "both feet down"),
}
"""The phrases, by the question they answer; each phrase stands once."""

PHRASES: tuple[str, ...] = tuple(p for group in QUESTIONS.values() for p in group)
"""All phrases with a class of their own in the network, in a fixed order."""

SPELLINGS: dict[str, str] = {"tree": "three", "fower": "four", "fife": "five"}
"""Radio pronunciations, and the digit that each counts as."""

OTHER = ""
"""Label of speech that is none of our phrases."""

ELEVEN: tuple[str, ...] = (
    "good",
    "defect",
    "leak",
    "minor",
    "major",
    "critical",
    "yes",
    "no",
    "repeat",
    "help",
    "skip",
)
"""The phrases of the comparison with the grammar engine."""

CONTRARY: tuple[str, ...] = (
    "not good",
    "no good",
    "not so good",
    "not okay",
    "in order",
    "not in order",
    "out of order",
    "all out of order",
    "not all in order",
    "all the order",
    "tall order",
    "all in all",
    "all over",
    "fallen over",
    "falling over",
    "all in water",
    "oil in water",
    "oil on the floor",
    "call him over",
    "not full",
    "below the mark",
    "above the mark",
    "not up to the mark",
    "not between the marks",
    "no leak",
    "no defect",
)
"""What holds or sounds like an answer that passes a part, and does not pass it.

Every voice says them: an operator who says that a part is "not in order" must
not be heard to say the opposite.
"""

NEAR_WORDS: tuple[str, ...] = tuple(
    (  # noqa: SIM905 - a list of words reads better as words
        "wood food hood could goods would gold deflect effect reflect detect "
        "deduct week weak lick lake league leap leave sleek miner mine mayor "
        "mango manager measure minus critic crystal article yet yep guess jazz "
        "chess lead yard nose now knob snow mow reheat retreat replete "
        "complete health held hell elf self ship skit sip clip scripts kick "
        "none tune free through far floor fine fire sick heaven eighty mine "
        "liner joint pointer doll fool fell flow blow slow lore entry twenty "
        "crack tracked spent tent lease lose listen mission warm corn "
        "damage corrode plug dusty third but caught spoken nose joy cooling "
        "school duel few crease greasy watch waiter how known horn nut "
        "top step stock strong song long rank right direct collect detective "
        "relative positive cause cape sleep carrion marry boat vote steady "
        "red text finish vanish feed town meet down sea again play again"
    ).split()
)
"""Words that sound like ours and mean nothing to us."""

CHATTER_SENTENCES: tuple[str, ...] = (
    "did you see the match",
    "where did you park",
    "what time is lunch",
    "tell him I am coming",
    "the truck is over there",
    "I will call you later",
    "watch out behind you",
    "it is cold this morning",
    "who left this here",
    "that was a long shift",
    "left front wheel, what condition",
    "you said, is that so",
    "front of the machine, anything on the ground",
    "which fluid is it",
)
"""Talk that is not for the machine, and prompts like its own coming back."""


def chatter_words(count: int, seed: int) -> tuple[str, ...]:
    """Pick words at random from PocketSphinx's pronouncing dictionary.

    Words of ours, and words that are part of a phrase of ours, are left out.

    Args:
        count: how many, at most what the dictionary holds.
        seed: of the choice.
    """
    ours = {word for phrase in PHRASES for word in phrase.split()}
    usable = sorted(
        {
            word
            for word, phones in dictionary_words()
            if word not in ours and 3 <= len(phones) <= 9
        }
    )
    rng = np.random.default_rng(seed)
    return tuple(str(w) for w in rng.choice(usable, size=count, replace=False))


@cache
def dictionary_words() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Read the usual ways to say a word from PocketSphinx's dictionary.

    Returns:
        Words of ASCII letters alone, each with its phones.
    """
    from pocketsphinx import get_model_path  # noqa: PLC0415

    path = Path(get_model_path()) / "en-us" / "cmudict-en-us.dict"
    lines = path.read_text(encoding="utf-8").splitlines()
    rows = (line.split() for line in lines)
    return tuple(
        (word, tuple(phones))
        for word, *phones in rows
        if word.isalpha() and word.isascii()
    )


def label_of(text: str) -> str:
    """Return the phrase that a text counts as, or OTHER."""
    text = SPELLINGS.get(text, text)
    return text if text in PHRASES else OTHER


def missing_from(phrases: Iterable[str]) -> tuple[str, ...]:
    """Name the phrases that the network has no class for, sorted."""
    return tuple(sorted(set(phrases) - set(PHRASES)))
