"""What each choice in how prompts are spoken gains in noise.

Rate, pitch, equaliser and compression are compared with the usual voice over
the same prompts in the same noise at equal A-weighted level; words are compared
by other words of the same meaning. Two witnesses: STOI, a published measure of
intelligibility, and our own recogniser.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.noise import NoiseKind
from voicecheck.bench.prompt_trials import Score, Way, can_stoi, score, ways
from voicecheck.bench.recognised_prompts import Recognised, recognised
from voicecheck.checklists.loader import load
from voicecheck.errors import UsageError
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.ports import Phrase, Recogniser
from voicecheck.speech.prompt_sample import choose_evenly
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser

__all__ = [
    "NOISES",
    "NO_STOI",
    "WORD_QUESTIONS",
    "Asked",
    "Gain",
    "PromptResult",
    "Row",
    "measure",
    "noises_named",
    "word_pairs",
]

NOISES = (NoiseKind.IDLE, NoiseKind.PINK, NoiseKind.CRUSHER, NoiseKind.BABBLE)
"""The usual noises of a run; any other may be named."""

NO_STOI = (
    "no STOI: the library pystoi is missing; pip install pystoi brings it "
    "(the speech intelligibility index and the recogniser need nothing)"
)

READ_BACK = "Left wheel: {}. Right?"
"""What a word is spoken in for STOI, which needs 0.4 s of speech at least."""

WORD_QUESTIONS = ("fault", "condition", "fluid", "leak_class", "start_check")
"""Questions in which one meaning has several words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a run measures."""

    noises: tuple[NoiseKind, ...] = NOISES
    snr_db: float = 0.0
    """Active level of the usual voice less the noise, unweighted."""
    prompts: int = 10
    repeats: int = 2
    """Noises in which the recogniser hears each phrase."""
    seed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """A mean, and its change against the usual on the same trials."""

    mean: float
    change: float
    error: float
    """Standard error of the change; 0 for the usual itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One choice in one noise."""

    noise: NoiseKind
    choice: str
    """One of usual, words, rate, pitch, equaliser, compression, together."""
    way: str
    trials: int
    """Phrases that the recogniser heard."""
    sii: Gain | None
    stoi: Gain | None
    """None without pystoi."""
    right: Gain
    """Share of phrases that the recogniser took for what they were."""
    probability: Gain
    """Mean probability that it gave to what was said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PromptResult:
    """All rows of a run."""

    asked: Asked
    engine: str
    rows: tuple[Row, ...]


def noises_named(text: str) -> tuple[NoiseKind, ...]:
    """Return the noises of a list such as "idle,pink".

    Raises:
        UsageError: there is no such noise.
    """
    known = [kind.value for kind in NoiseKind if kind is not NoiseKind.QUIET]
    names = [name.strip() for name in text.split(",") if name.strip()]
    wrong = [name for name in names if name not in known]
    if wrong or not names:
        named = ", ".join(wrong) or repr(text)
        raise UsageError(f"--noises takes a list of {', '.join(known)}; not {named}")
    return tuple(NoiseKind(name) for name in names)


def word_pairs(question: str) -> tuple[tuple[Phrase, Phrase], ...]:
    """Return, for each meaning with several words, the first and the second."""
    by_meaning: dict[str, list[Phrase]] = {}
    for phrase in active_set(question, "en").phrases:
        if not phrase.control:
            by_meaning.setdefault(phrase.meaning, []).append(phrase)
    return tuple((p[0], p[1]) for p in by_meaning.values() if len(p) > 1)


def measure(
    asked: Asked,
    synthesiser: Pyttsx3Synthesiser,
    recogniser: Recogniser,
    tell: Callable[[str], None],
) -> PromptResult:
    """Measure every choice in every noise.

    Args:
        asked: what.
        synthesiser: speaks.
        recogniser: is the second witness.
        tell: is told how far it is.
    """
    texts = choose_evenly(
        [p.prompt for p in load("wheel-loader").checkpoints], asked.prompts
    )
    rows: list[Row] = []
    for place, kind in enumerate(asked.noises, 1):
        tell(f"{kind.value} noise, {place} of {len(asked.noises)}")
        rows += _ways(asked, kind, texts, synthesiser, recogniser)
        rows += _words(asked, kind, synthesiser, recogniser)
    return PromptResult(asked=asked, engine=recogniser.name, rows=tuple(rows))


def _ways(
    asked: Asked,
    kind: NoiseKind,
    texts: Sequence[str],
    synthesiser: Pyttsx3Synthesiser,
    recogniser: Recogniser,
) -> list[Row]:
    rows: list[Row] = []
    base: tuple[Score, Recognised] | None = None
    for way in ways():
        scored = score(
            way, texts, synthesiser, kind=kind, snr_db=asked.snr_db, seed=asked.seed
        )
        heard = recognised(
            way,
            synthesiser,
            recogniser,
            kind,
            asked.snr_db,
            asked.repeats,
            seed=asked.seed,
        )
        base = base or (scored, heard)
        rows.append(
            Row(
                noise=kind,
                choice=way.choice,
                way=way.name,
                trials=len(heard.right),
                sii=_gain(scored.sii, base[0].sii),
                stoi=_gain(scored.stoi, base[0].stoi) if scored.stoi else None,
                right=_gain(heard.right, base[1].right),
                probability=_gain(heard.probability, base[1].probability),
            )
        )
    return rows


def _words(
    asked: Asked,
    kind: NoiseKind,
    synthesiser: Pyttsx3Synthesiser,
    recogniser: Recogniser,
) -> list[Row]:
    """Compare first words with second words of the same meanings."""
    usual = ways()[0]
    stoi: tuple[list[float], list[float]] = ([], [])
    heard: tuple[list[Recognised], list[Recognised]] = ([], [])
    for question in WORD_QUESTIONS:
        pairs = word_pairs(question)
        for side in (0, 1):
            spoken = tuple(pair[side] for pair in pairs)
            heard[side].append(
                _heard(asked, kind, usual, synthesiser, recogniser, question, spoken)
            )
            scored = score(
                usual,
                [READ_BACK.format(phrase.text) for phrase in spoken],
                synthesiser,
                kind=kind,
                snr_db=asked.snr_db,
                seed=asked.seed,
            )
            stoi[side].extend(scored.stoi)
    rows = []
    for side, name in ((0, "first words"), (1, "other words, same meanings")):
        right = [[ok for one in part for ok in one.right] for part in heard]
        shares = [[p for one in part for p in one.probability] for part in heard]
        rows.append(
            Row(
                noise=kind,
                choice="words",
                way=name,
                trials=len(right[side]),
                sii=None,
                stoi=_gain(stoi[side], stoi[0]) if can_stoi() else None,
                right=_gain(right[side], right[0]),
                probability=_gain(shares[side], shares[0]),
            )
        )
    return rows


def _heard(
    asked: Asked,
    kind: NoiseKind,
    way: Way,
    synthesiser: Pyttsx3Synthesiser,
    recogniser: Recogniser,
    question: str,
    phrases: tuple[Phrase, ...],
) -> Recognised:
    return recognised(
        way,
        synthesiser,
        recogniser,
        kind,
        asked.snr_db,
        asked.repeats,
        question=question,
        phrases=phrases,
        seed=asked.seed,
    )


def _gain(values: Sequence[float], base: Sequence[float]) -> Gain:
    """Mean of some values, and of their differences to the base, pair by pair."""
    change = np.subtract(np.asarray(values, float), np.asarray(base, float))
    error = 0.0
    if len(change) > 1:
        error = float(np.std(change, ddof=1)) / math.sqrt(len(change))
    return Gain(mean=float(np.mean(values)), change=float(np.mean(change)), error=error)
