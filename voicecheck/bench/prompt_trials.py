"""Ways to speak a prompt, and how intelligible each is in noise.

All ways are compared at the same A-weighted level, since a safe level at the
ear is A-weighted, in the same noise, whose ratio to the usual voice is set.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.limiter import CEILING, limit_peaks
from voicecheck.audio.mixing import active_level_db
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.resample import resample
from voicecheck.audio.standard_shaping import (
    STANDARD_DRIVE_DB,
    STANDARD_EQUALISER_DB,
)
from voicecheck.hearing.equaliser import apply_band_gains
from voicecheck.hearing.measure import Calibration, band_levels_db, prompt_octaves
from voicecheck.hearing.prompt_level import PromptLimits, level_prompt
from voicecheck.hearing.sii import octave_spectrum_db, sii_octave
from voicecheck.hearing.spectrum import OCTAVE_HZ, OctaveLevels
from voicecheck.speech.pyttsx3_synthesiser import (
    PROMPT_VOICES,
    Pyttsx3Synthesiser,
    Voice,
)

__all__ = [
    "EAR_DBA",
    "SHIPPED",
    "Score",
    "Way",
    "can_stoi",
    "noise_octaves_played",
    "render",
    "score",
    "ways",
]

EAR_DBA = 75.0
"""A-weighted level of every prompt at the ear."""

NOISE_S = 6
"""Length of the noise; longer than any prompt."""

SHIPPED = "standard equaliser and limiter, 3 dB: shipped"
"""Name of the way that prompts are played where no sound check was saved."""

_ANY_SCALE = Calibration(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to speak prompts."""

    name: str
    voice: Voice
    band_gains_db: tuple[float, ...] | None = None
    """250 Hz to 8 kHz; None leaves the spectrum. Empty: set by the index."""
    drive_db: float = 0.0
    """How far peaks are driven into the limiter: mild compression."""

    @property
    def choice(self) -> str:
        """What is chosen: usual, rate, pitch, equaliser, compression, together."""
        usual = PROMPT_VOICES["en"]
        if self.band_gains_db is not None:
            return "together" if self.drive_db else "equaliser"
        if self.drive_db:
            return "compression"
        if self.voice.words_a_minute != usual.words_a_minute:
            return "rate"
        return "pitch" if self.voice.pitch != usual.pitch else "usual"


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How one way did; each figure is one per prompt."""

    way: str
    sii: tuple[float, ...]
    stoi: tuple[float, ...]
    """Empty where pystoi is not installed."""
    estoi: tuple[float, ...]
    seconds: tuple[float, ...]


def ways(language: str = "en") -> tuple[Way, ...]:
    """Return the usual way, then one change at a time, then changes together."""
    usual = PROMPT_VOICES[language]
    tilt = (-6.0, -3.0, 0.0, 3.0, 6.0, 6.0)
    listed = [Way(name="usual", voice=usual)]
    for rate in (140, 165, 190):
        if rate != usual.words_a_minute:
            voice = replace(usual, words_a_minute=rate)
            listed.append(Way(name=f"{rate} words a minute", voice=voice))
    for pitch in (25, 40, 65, 80):
        listed.append(Way(name=f"pitch {pitch}", voice=replace(usual, pitch=pitch)))
    listed += [
        Way(name="3 dB an octave brighter", voice=usual, band_gains_db=tilt),
        Way(name="equaliser set by the index", voice=usual, band_gains_db=()),
        Way(
            name="standard equaliser", voice=usual, band_gains_db=STANDARD_EQUALISER_DB
        ),
        Way(name="limiter, 3 dB", voice=usual, drive_db=3.0),
        Way(name="limiter, 6 dB", voice=usual, drive_db=6.0),
        Way(name="limiter, 10 dB", voice=usual, drive_db=10.0),
        Way(
            name=SHIPPED,
            voice=usual,
            band_gains_db=STANDARD_EQUALISER_DB,
            drive_db=STANDARD_DRIVE_DB,
        ),
    ]
    return tuple(listed)


def render(
    way: Way, text: str, synthesiser: Pyttsx3Synthesiser, masker: OctaveLevels | None
) -> tuple[Frames, Frames]:
    """Speak a text one way.

    Args:
        way: how.
        text: what.
        synthesiser: the engine.
        masker: noise at the ear, for the equaliser that the index sets.

    Returns:
        The plain voice and the shaped one, both at 16 kHz, shape (n,), with an
        A-weighted level of 0 dB while speaking.
    """
    sound = synthesiser.speak_as(text, way.voice)
    plain = _levelled(resample(sound.frames, sound.rate_hz, RATE_HZ))
    shaped: Frames = plain
    gains = way.band_gains_db
    if gains == () and masker is not None:
        gains = _gains_by_index(plain, masker)
    if gains:
        shaped = apply_band_gains(shaped, RATE_HZ, gains).astype(np.float32)
    if way.drive_db:
        peak = float(np.abs(shaped).max())
        driven = shaped * np.float32(CEILING * 10 ** (way.drive_db / 20) / peak)
        shaped = limit_peaks(driven, RATE_HZ, most_db=way.drive_db)
    return plain, _levelled(shaped)


def score(
    way: Way,
    texts: Sequence[str],
    synthesiser: Pyttsx3Synthesiser,
    *,
    kind: NoiseKind = NoiseKind.IDLE,
    snr_db: float = 0.0,
    seed: int = 1,
) -> Score:
    """Measure one way over all texts.

    Args:
        way: how prompts are spoken.
        texts: the prompts.
        synthesiser: the engine.
        kind: noise.
        snr_db: active level of the usual voice less the noise, unweighted.
        seed: of the noise; the same for every way.
    """
    sii, stoi, estoi, seconds = [], [], [], []
    measure = _stoi()
    usual = Way(name="usual", voice=PROMPT_VOICES["en"])
    for number, text in enumerate(texts):
        reference, _ = render(usual, text, synthesiser, None)
        rng = np.random.default_rng((seed, number))
        sound = noise(kind, NOISE_S * RATE_HZ, rng)
        gain_db = active_level_db(reference) - snr_db - rms_level_dbfs(sound)
        masker = np.asarray(sound * np.float32(10 ** (gain_db / 20)))
        at_ear = noise_octaves_played(masker).shifted(EAR_DBA)
        plain, shaped = render(way, text, synthesiser, at_ear)
        speech = prompt_octaves(shaped, RATE_HZ, _ANY_SCALE).shifted(EAR_DBA)
        index = sii_octave(octave_spectrum_db(speech), octave_spectrum_db(at_ear))
        sii.append(index.index)
        seconds.append(plain.size / RATE_HZ)
        if measure is not None:
            heard = shaped + masker[: shaped.size]
            stoi.append(float(measure(plain, heard, RATE_HZ, extended=False)))
            estoi.append(float(measure(plain, heard, RATE_HZ, extended=True)))
    return Score(
        way=way.name,
        sii=tuple(sii),
        stoi=tuple(stoi),
        estoi=tuple(estoi),
        seconds=tuple(seconds),
    )


def noise_octaves_played(sound: Frames) -> OctaveLevels:
    """Return the octaves of a made noise, dB re 1.0: nothing lies above 8 kHz."""
    return OctaveLevels.of(band_levels_db(sound, RATE_HZ, OCTAVE_HZ, partial_top=True))


def _gains_by_index(plain: Frames, masker: OctaveLevels) -> tuple[float, ...]:
    """Find the octave gains that serve the index most at the same level."""
    prompt = prompt_octaves(plain, RATE_HZ, _ANY_SCALE).shifted(EAR_DBA)
    limits = PromptLimits(
        target_sii=1.0, cap_dba=EAR_DBA, max_gain_db=12.0, equaliser_db=9.0
    )
    return level_prompt(prompt, masker, limits=limits).band_gains_db


def _levelled(frames: Frames) -> Frames:
    level = prompt_octaves(frames, RATE_HZ, _ANY_SCALE).a_level_dba
    return np.asarray(frames * np.float32(10 ** (-level / 20)), dtype=np.float32)


def can_stoi() -> bool:
    """Tell whether the library of the published measure is installed."""
    return importlib.util.find_spec("pystoi") is not None


def _stoi() -> Callable[..., float] | None:
    """Return the published measure where its library is installed.

    Source:
        Taal, Hendriks, Heusdens and Jensen 2011, IEEE TASLP 19(7) (STOI); Jensen
        and Taal 2016, IEEE/ACM TASLP 24(11) (extended); as the library pystoi
        computes them.
    """
    if not can_stoi():
        return None
    from pystoi import stoi  # noqa: PLC0415

    measure: Callable[..., float] = stoi
    return measure
