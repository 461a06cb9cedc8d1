"""Everything that is played goes through the saved sound check."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.frames import Frames
from voicecheck.audio.limiter import CEILING
from voicecheck.audio.ports import BLOCK, Sound
from voicecheck.audio.prompt_profile import PromptProfile
from voicecheck.audio.shaped_link import ShapedLink, shape_link, shape_sound
from voicecheck.audio.standard_shaping import shape_by_standard
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.clock import ManualClock
from voicecheck.hearing.measure import Calibration, prompt_octaves
from voicecheck.hearing.prompt_level import PromptSetting, PromptVerdict


class RecordingLink:
    """A link that keeps what it was asked to play."""

    def __init__(self) -> None:
        self.clock = ManualClock()
        self.played: list[Sound] = []
        self.calls: list[str] = []

    def play(self, sound: Sound) -> None:
        self.played.append(sound)

    def read(self) -> Frames:
        self.calls.append("read")
        return np.zeros(BLOCK, dtype=np.float32)

    def discard(self, keep_s: float = 0.0) -> None:
        self.calls.append(f"discard {keep_s:g}")

    def reopen(self) -> bool:
        self.calls.append("reopen")
        return True

    def close(self) -> None:
        self.calls.append("close")


def setting(gain_db: float, *bands: float) -> PromptSetting:
    """A setting of a sound check."""
    return PromptSetting(
        gain_db=gain_db,
        equaliser_db=bands or (0.0,) * 6,
        sii_before=0.5,
        sii=0.75,
        level_before_dba=65.0,
        level_dba=70.0,
        verdict=PromptVerdict.REACHED,
    )


def hiss(level: float = 0.05) -> Sound:
    """Steady noise in every octave."""
    data = np.random.default_rng(3).standard_normal(22_050) * level
    return Sound(frames=data.astype(np.float32), rate_hz=22_050)


def octaves(sound: Sound) -> np.ndarray:
    found = prompt_octaves(sound.frames, sound.rate_hz, Calibration(0.0))
    return np.asarray(found.speech_bands_db)


@pytest.mark.parametrize("sound", [hiss(), *(make_tone(tone) for tone in Tone)])
def test_gain_lifts_prompts_and_tones_alike(sound: Sound) -> None:
    """4 dB of gain are 4 dB more, for each tone too; length and rate stay."""
    out = shape_sound(sound, setting(4.0))
    gained_db = 20 * np.log10(
        np.sqrt(np.mean(out.frames**2)) / np.sqrt(np.mean(sound.frames**2))
    )
    assert gained_db == pytest.approx(4.0, abs=0.3)
    assert out.frames.shape == sound.frames.shape
    assert out.rate_hz == sound.rate_hz


def test_the_equaliser_changes_octaves_as_set() -> None:
    """Neighbours pull each other a little; each octave lies within 1.5 dB."""
    bands = (-6.0, -3.0, 0.0, 3.0, 3.0, 3.0)
    changed = octaves(shape_sound(hiss(), setting(0.0, *bands))) - octaves(hiss())
    assert changed == pytest.approx(np.asarray(bands), abs=1.5)


def test_peaks_stay_below_full_scale() -> None:
    """However much gain is set."""
    out = shape_sound(hiss(0.3), setting(18.0))
    assert float(np.abs(out.frames).max()) <= CEILING + 1e-6


@pytest.mark.parametrize("sound", [hiss(), *(make_tone(tone) for tone in Tone)])
def test_no_sound_passes_the_safe_level(sound: Sound) -> None:
    """A tone may be louder than the prompts that were measured; it is held back."""
    out = shape_sound(sound, setting(8.0), highest_dbfs=-20.0)
    level = prompt_octaves(out.frames, out.rate_hz, Calibration(0.0)).a_level_dba
    assert level <= -20.0 + 1e-3

    free = shape_sound(sound, setting(8.0), highest_dbfs=0.0)
    assert np.array_equal(free.frames, shape_sound(sound, setting(8.0)).frames)


@pytest.mark.parametrize(
    ("sound", "gain_db"),
    [(hiss(), 0.0), (Sound(np.zeros(500, dtype=np.float32), 16_000), 6.0)],
)
def test_without_gain_or_sound_nothing_changes(sound: Sound, gain_db: float) -> None:
    """No filter runs where there is nothing to do."""
    assert shape_sound(sound, setting(gain_db)) is sound


def test_what_is_played_is_shaped_once() -> None:
    """The same tone made anew is not filtered again; another one is."""
    inner = RecordingLink()
    link = ShapedLink(inner, setting(4.0))

    for tone in (Tone.TAKEN, Tone.TAKEN, Tone.WARNING):
        link.play(make_tone(tone))

    first, second, third = inner.played
    assert second is first
    assert third is not first
    assert float(np.abs(first.frames).max()) > float(
        np.abs(make_tone(Tone.TAKEN).frames).max()
    )


def test_rates_are_not_mixed_up() -> None:
    """The same samples at another rate are another sound."""
    inner = RecordingLink()
    link = ShapedLink(inner, setting(4.0))
    link.play(Sound(hiss().frames, 22_050))
    link.play(Sound(hiss().frames, 16_000))
    assert [sound.rate_hz for sound in inner.played] == [22_050, 16_000]


def test_the_microphone_is_left_alone() -> None:
    """All else goes straight to the link behind."""
    inner = RecordingLink()
    link = ShapedLink(inner, setting(4.0))

    assert link.clock is inner.clock
    assert link.read().size == BLOCK
    link.discard(0.3)
    assert link.reopen()
    link.close()
    assert inner.calls == ["read", "discard 0.3", "reopen", "close"]


def test_a_profile_decides_whether_there_is_anything_to_shape() -> None:
    """Without one, the standard shaping; one that changes nothing leaves the link."""
    inner = RecordingLink()
    flat = PromptProfile(
        saved_utc="2026-01-05T06:00:00.000Z",
        noise_dba=60.0,
        gain_db=0.0,
        equaliser_db=(0.0,) * 6,
        words_a_minute=165,
        sii_before=0.8,
        sii=0.8,
        level_before_dba=65.0,
        level_dba=65.0,
        full_scale_dba=90.0,
        cap_dba=82.0,
        verdict=PromptVerdict.REACHED,
    )
    usual = shape_link(inner, None)
    assert isinstance(usual, ShapedLink)
    usual.play(hiss())
    assert np.array_equal(inner.played[-1].frames, shape_by_standard(hiss()).frames)
    assert shape_link(inner, flat) is inner
    louder = flat.model_copy(update={"gain_db": 3.0})
    assert isinstance(shape_link(inner, louder), ShapedLink)
