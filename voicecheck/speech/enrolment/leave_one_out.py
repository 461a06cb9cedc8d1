"""How well does a profile work? Each example is heard without itself.

Examples are parted into as many groups as a word has examples; each group is
heard, in every enrolment noise, by a layer fitted to the others.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from voicecheck.speech.enrolment.adaptation import without_learned
from voicecheck.speech.enrolment.fitting import (
    FittedVoice,
    HeardExample,
    fit_heard,
    hear_example,
)
from voicecheck.speech.enrolment.own_voice import enrolled_shares
from voicecheck.speech.enrolment.profile import Example, Source, by_phrase
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.grammar.files import question_names
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork

__all__ = ["ProfileCheck", "WordCheck", "check_profile"]

_WEAK = 0.8
"""Below this share of right trials a word should be said again."""
_GROUPS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class WordCheck:
    """How well one word is heard; shares of trials that are right, 0 … 1."""

    phrase: str
    examples: int
    trials: int
    with_profile: float
    without_profile: float
    mistaken_for: str
    """The word that it is most often taken for; empty: none."""

    @property
    def weak(self) -> bool:
        """Whether the word should be said again."""
        return self.with_profile < _WEAK


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileCheck:
    """All words of a profile."""

    words: tuple[WordCheck, ...]
    with_profile: float
    without_profile: float
    without_learned: float | None
    """With the profile but for what it learned in walks; None: it learned nothing."""

    @property
    def again(self) -> tuple[str, ...]:
        """Words that should be said again."""
        return tuple(w.phrase for w in self.words if w.weak)


@dataclass(slots=True)
class _Tally:
    own: int = 0
    stranger: int = 0
    trials: int = 0


def check_profile(
    network: WordNetwork,
    language: str,
    examples: Sequence[Example],
    step: Callable[[str], None] = lambda _: None,
) -> ProfileCheck:
    """Hear every example without itself.

    Enrolled examples are judged; learned ones only help to fit.

    Args:
        network: of strangers.
        language: of the phrases.
        examples: of the profile.
        step: told what is being done.
    """
    heard = _hear(network, examples, step)
    everyone = _judge(network, language, heard, lambda _: True, step)
    alone = None
    if len(without_learned(examples)) < len(examples):
        only = _judge(
            network, language, heard, lambda e: e.source is Source.ENROLLED, step
        )
        alone = _share(only[0], "own")
    tallies, wrong = everyone
    words = tuple(
        WordCheck(
            phrase=phrase,
            examples=len(group),
            trials=tallies[phrase].trials,
            with_profile=tallies[phrase].own / max(1, tallies[phrase].trials),
            without_profile=tallies[phrase].stranger / max(1, tallies[phrase].trials),
            mistaken_for=_most(wrong, phrase),
        )
        for phrase, group in by_phrase(examples).items()
    )
    return ProfileCheck(
        words=words,
        with_profile=_share(tallies, "own"),
        without_profile=_share(tallies, "stranger"),
        without_learned=alone,
    )


_Heard = list[tuple[Example, int, HeardExample]]


def _hear(
    network: WordNetwork, examples: Sequence[Example], step: Callable[[str], None]
) -> _Heard:
    heard: _Heard = []
    for phrase, group in by_phrase(examples).items():
        step(phrase)
        heard += [
            (example, number % _GROUPS, hear_example(network, example, number))
            for number, example in enumerate(group)
        ]
    return heard


def _judge(
    network: WordNetwork,
    language: str,
    heard: _Heard,
    used: Callable[[Example], bool],
    step: Callable[[str], None],
) -> tuple[dict[str, _Tally], Counter[tuple[str, str]]]:
    active = _active_by_phrase(language)
    tallies = {example.phrase: _Tally() for example, _, _ in heard}
    wrong: Counter[tuple[str, str]] = Counter()
    for group in range(_GROUPS):
        step(f"fit {group + 1} of {_GROUPS}")
        fitted = [h for e, g, h in heard if g != group and used(e)]
        voice = fit_heard(network, fitted) if fitted else None
        for example, place, one in heard:
            if place != group or example.source is not Source.ENROLLED:
                continue
            texts = active.get(example.phrase, frozenset({example.phrase}))
            _count(network, voice, one, texts, tallies[example.phrase], wrong)
    return tallies, wrong


def _count(
    network: WordNetwork,
    voice: FittedVoice | None,
    one: HeardExample,
    texts: frozenset[str],
    tally: _Tally,
    wrong: Counter[tuple[str, str]],
) -> None:
    for vector in one.words:
        tally.trials += 1
        stranger = network.shares(vector, texts)
        tally.stranger += _best(stranger) == one.phrase
        if voice is None:
            continue
        heard = _best(enrolled_shares(network, voice, vector, texts))
        tally.own += heard == one.phrase
        if heard != one.phrase:
            wrong[(one.phrase, heard)] += 1


def _best(shares: dict[str, float]) -> str:
    """The likeliest phrase; nothing where it is most likely none of them."""
    best = max(shares, key=shares.__getitem__)
    return "" if best in (OTHER, NOISE) else best


def _active_by_phrase(language: str) -> dict[str, frozenset[str]]:
    """Return, for each phrase, what may be said where it is an answer."""
    found: dict[str, frozenset[str]] = {}
    for question in question_names(language):
        active = active_set(question, language)
        texts = frozenset(p.text for p in active.phrases)
        for phrase in active.phrases:
            if not phrase.control or question == "controls":
                found.setdefault(phrase.text, texts)
    return found


def _most(wrong: Counter[tuple[str, str]], phrase: str) -> str:
    pairs = [(n, heard) for (said, heard), n in wrong.items() if said == phrase]
    named = [pair for pair in pairs if pair[1]]
    return max(named)[1] if named else ""


def _share(tallies: dict[str, _Tally], kind: str) -> float:
    trials = sum(t.trials for t in tallies.values())
    right = sum(getattr(t, kind) for t in tallies.values())
    return float(right / max(1, trials))
