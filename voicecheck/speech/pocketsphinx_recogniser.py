"""The embedded recogniser: PocketSphinx 5, whose English model is in its wheel.

One utterance is decoded several times: as it is and with its noise
suppressed (a number in between as well), each against the phrases that may be said
now; once more without the best phrase, to see how close the next one comes; and once
as free phones, to see whether the sound is like any phrase at all. The library's own
probability says nothing (right words get 1/3, wrong ones 1), so a logistic
map of these scores, fitted on spoken test words, gives the confidence.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.suppression import suppress
from voicecheck.errors import GrammarError, ModelError
from voicecheck.speech.calibration import Calibration, load_calibration
from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.compile import jsgf_source
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.ports import ActiveSet, Hypothesis

_LOG_BASE = math.log(1.0001)
_SHIFT = 1024.0
"""The library scales senone scores down by this before it adds them up."""
_FRAMES_A_SECOND = 100
_QUIET_DB = 25.0
"""A word that stands so far over the background needs no suppression."""
_COMFORT_SNRS_DB = (22.0, 26.0)
_RAW_SHARES = (0.3, 0.5)
_WORD_PENALTY = 0.2
"""Chance of one more word: the usual 0.65 puts digits where none were said."""
_SHORT = 5
"""Phrases of so few letters are one short syllable or two: easily mistaken."""
_FLOOR = -30.0
"""Score a frame given to a decode that found nothing, in nats."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """One decode: the words and their score a frame, in nats."""

    words: str
    score: float


NOTHING = Decoded("", _FLOOR)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Decodes:
    """The two decodes of an utterance."""

    words: str
    """A whole phrase or number, from the better witness; empty: neither has one."""
    raw: Decoded
    clean: Decoded
    sound: Frames
    """The denoised sound."""
    noisy: bool
    mixed: Decoded | None = None
    """Of sound between the two, where a number may be said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What the decodes say about one utterance; the features of the map."""

    words: str
    other: str
    """The best of the rest."""
    features: dict[str, float] = field(default_factory=dict)


class PocketSphinxRecogniser:
    """Recognise English phrases with the model in the library's wheel.

    Raises:
        ModelError: the library cannot be loaded.
    """

    name = "pocketsphinx"

    def __init__(
        self, language: str = "en", calibration: Calibration | None = None
    ) -> None:
        if language != "en":
            raise ModelError(
                f"PocketSphinx hears English only, not {language!r}: "
                "add a Vosk model (voicecheck models add PATH)"
            )
        self.language = language
        self._calibration = calibration or load_calibration("pocketsphinx")
        self._names: dict[tuple[ActiveSet, str], str] = {}

    @cached_property
    def _decoder(self) -> Any:
        try:
            from pocketsphinx import Decoder, get_model_path  # noqa: PLC0415
        except ImportError as error:
            raise ModelError(
                "PocketSphinx cannot be loaded: pip install pocketsphinx"
            ) from error
        # dither: digital silence is heard as words without it
        decoder = Decoder(lm=None, loglevel="FATAL", dither=True, wip=_WORD_PENALTY)
        for word, phones in files.pronunciations(self.language).items():
            decoder.add_word(word, phones, True)
        decoder.add_allphone_file("phones", get_model_path("en-us/en-us-phone.lm.bin"))
        return decoder

    def knows(self, word: str) -> bool:
        """Tell whether a word is in the dictionary."""
        return self._decoder.lookup_word(word) is not None

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`."""
        return self.hypotheses(self.evidence(utterance, active), active)

    def hypotheses(
        self, evidence: Evidence, active: ActiveSet
    ) -> tuple[Hypothesis, ...]:
        """Turn evidence into hypotheses, the likeliest first."""
        if not evidence.words:
            return ()
        confidence = self._calibration.probability(evidence.features)
        best = _hypothesis(evidence.words, active, confidence)
        if best is None:
            return ()
        found = [best]
        other = _hypothesis(
            evidence.other, active, (1.0 - confidence) * self._calibration.other_share
        )
        if other is not None and other.meaning != best.meaning:
            found.append(other)
        return tuple(found)

    def decodes(self, utterance: Frames, active: ActiveSet) -> Decodes:
        """Decode the sound as it is and denoised, against the active set."""
        clean = suppress(utterance)
        search = self._search(active, "")
        raw = self._decode(search, utterance)
        quiet = self._decode(search, clean)
        noisy = _is_noisy(utterance)
        # the denoised decode is the better witness in noise, the raw one in quiet
        both = (quiet, raw) if noisy else (raw, quiet)
        words = next((d.words for d in both if _is_whole(d.words, active)), "")
        mixed = None
        if active.numbers:
            mixed = self._decode(search, _mixtures(utterance, clean, noisy)[0])
        return Decodes(
            words=words, raw=raw, clean=quiet, sound=clean, noisy=noisy, mixed=mixed
        )

    def _voted(self, found: Decodes, utterance: Frames, active: ActiveSet) -> Decodes:
        """Decode a number in one more way, and let all four vote."""
        more = _mixtures(utterance, found.sound, found.noisy)[1]
        mixed = (found.mixed or NOTHING, self._decode(self._search(active, ""), more))
        first = (found.raw, found.clean)
        raw, quiet = _agreed((*mixed, *first), first, active)
        whole = (d.words for d in (raw, quiet) if _is_whole(d.words, active))
        return replace(found, raw=raw, clean=quiet, words=next(whole, ""))

    def evidence(self, utterance: Frames, active: ActiveSet) -> Evidence:
        """Decode an utterance in every way and gather the scores."""
        found = self.decodes(utterance, active)
        if active.numbers:
            found = self._voted(found, utterance, active)
        words, raw, quiet = found.words, found.raw, found.clean
        if not words:  # neither got to the end of a phrase
            return Evidence(words="", other="")
        rest_raw, rest_quiet = self._rest(active, words, utterance, found.sound)
        free_raw = self._decode("phones", utterance)
        free_quiet = self._decode("phones", found.sound)
        other = next(
            (d.words for d in (quiet, raw) if d.words not in ("", words)),
            rest_quiet.words or rest_raw.words,
        )
        features = {
            "agree": 1.0 if raw.words == quiet.words else 0.0,
            "score_raw": raw.score,
            "score_quiet": quiet.score,
            "margin_raw": _margin(raw, rest_raw, words),
            "margin_quiet": _margin(quiet, rest_quiet, words),
            "free_raw": _bounded(raw.score - free_raw.score),
            "free_quiet": _bounded(quiet.score - free_quiet.score),
            "noisy": 1.0 if found.noisy else 0.0,
            "short": 1.0 if len(words) <= _SHORT else 0.0,
        }
        return Evidence(words=words, other=other, features=features)

    def _rest(
        self, active: ActiveSet, words: str, raw: Frames, clean: Frames
    ) -> tuple[Decoded, Decoded]:
        """Decode without the best phrase, both ways."""
        if not active.numbers and len(active.phrases) < 2:
            return NOTHING, NOTHING
        search = self._search(active, words)
        return self._decode(search, raw), self._decode(search, clean)

    def _search(self, active: ActiveSet, without: str) -> str:
        """Return the name of the search for a set, minus one phrase."""
        key = (active, without)
        name = self._names.get(key)
        if name is not None:
            return name
        name = f"s{len(self._names)}"
        source = jsgf_source(active, without)
        try:
            self._decoder.add_jsgf_string(name, source)
        except (ValueError, RuntimeError) as error:
            unknown = [
                word
                for phrase in active.phrases
                for word in phrase.text.split()
                if not self.knows(word)
            ]
            raise GrammarError(
                f"question {active.question}: PocketSphinx does not know "
                f"{', '.join(unknown) or 'this grammar'}; add a line to "
                "pronunciations.dict"
            ) from error
        self._names[key] = name
        return name

    def _decode(self, search: str, frames: Frames) -> Decoded:
        decoder = self._decoder
        decoder.activate_search(search)
        pcm = np.clip(frames * 32_767.0, -32_768, 32_767).astype(np.int16)
        decoder.start_utt()
        decoder.process_raw(pcm.tobytes(), False, True)
        decoder.end_utt()
        found = decoder.hyp()
        if found is None or not found.hypstr:
            return NOTHING
        length = max(1, len(frames) * _FRAMES_A_SECOND // RATE_HZ)
        nats = math.log(max(found.score, 1e-300)) / _LOG_BASE * _SHIFT * _LOG_BASE
        return Decoded(found.hypstr, max(_FLOOR, nats / length))


def with_comfort_noise(utterance: Frames, snr_db: float) -> Frames:
    """Add faint pink noise, always the same, `snr_db` below the loud parts."""
    frames = utterance[: len(utterance) // 160 * 160].reshape(-1, 160)
    loud = float(np.percentile(np.mean(np.square(frames), axis=1), 90))
    hiss = noise(NoiseKind.PINK, len(utterance), np.random.default_rng(1))
    return utterance + hiss * np.float32(np.sqrt(loud) * 10 ** (-snr_db / 20))


def _mixtures(utterance: Frames, clean: Frames, noisy: bool) -> tuple[Frames, ...]:
    """Return sounds in which strings of digits are heard better than in either.

    In quiet, that is with a little noise around them (24 strings of synthetic
    voices: 50 % right as they were, 92 % with pink noise 22 dB below). In noise,
    part of the raw sound is mixed back into the denoised: 71 % against 50 % raw and
    64 % denoised at 8 dB (14 strings). The idea of adding the observation back:
    arXiv 2406.12699.
    """
    if noisy:
        return tuple(
            np.asarray(share * utterance + (1 - share) * clean) for share in _RAW_SHARES
        )
    return tuple(with_comfort_noise(utterance, db) for db in _COMFORT_SNRS_DB)


def _agreed(
    heard: Sequence[Decoded], first: tuple[Decoded, Decoded], active: ActiveSet
) -> tuple[Decoded, Decoded]:
    """Let the decodes of a number vote: the two best, `first` where there is none."""
    whole = [d for d in heard if _is_whole(d.words, active)]
    if not whole:
        return first
    votes = Counter(d.words for d in whole)
    ranked = sorted(whole, key=lambda d: -votes[d.words])  # ties: first heard
    return ranked[0], ranked[min(1, len(ranked) - 1)]


def _is_whole(words: str, active: ActiveSet) -> bool:
    return _hypothesis(words, active, 0.0) is not None


def _is_noisy(utterance: Frames) -> bool:
    """Tell whether the loud parts stand less than `_QUIET_DB` over the faint ones."""
    frames = utterance[: len(utterance) // 160 * 160].reshape(-1, 160)
    power = np.mean(np.square(frames), axis=1) + 1e-12
    faint, loud = np.percentile(power, (10, 90))
    return bool(10 * np.log10(loud / faint) < _QUIET_DB)


def _margin(found: Decoded, rest: Decoded, words: str) -> float:
    """How far the best phrase lies before the rest; behind it, when negative."""
    margin = _bounded(found.score - rest.score)
    return margin if found.words == words else -abs(margin)


def _bounded(difference: float) -> float:
    """Keep one decode that found nothing from outweighing everything else."""
    return max(-4.0, min(4.0, difference))


def _hypothesis(words: str, active: ActiveSet, confidence: float) -> Hypothesis | None:
    phrase = active.phrase(words)
    if phrase is not None:
        return Hypothesis(
            phrase=words,
            meaning=phrase.meaning,
            confidence=confidence,
            control=phrase.control,
        )
    if not active.numbers:
        return None
    value = parse_number(words, active.language)
    if value is None:
        return None
    return Hypothesis(phrase=words, meaning=str(value), confidence=confidence)
