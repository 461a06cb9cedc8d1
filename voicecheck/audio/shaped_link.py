"""A sound link that plays everything as the sound check asked for, or else in the
standard way."""

from __future__ import annotations

import hashlib
from collections import OrderedDict

import numpy as np

from voicecheck.audio.altered_link import AlteredLink
from voicecheck.audio.limiter import limit_peaks
from voicecheck.audio.ports import Sound, SoundLink
from voicecheck.audio.prompt_profile import PromptProfile
from voicecheck.audio.standard_shaping import shape_by_standard
from voicecheck.hearing.equaliser import apply_setting
from voicecheck.hearing.measure import Calibration, prompt_octaves
from voicecheck.hearing.prompt_level import PromptSetting

__all__ = ["ShapedLink", "shape_link", "shape_sound"]

KEPT_SOUNDS = 64
"""Shaped sounds that are kept: tones and the prompts said last."""


def shape_sound(
    sound: Sound, setting: PromptSetting, highest_dbfs: float | None = None
) -> Sound:
    """Return a sound with gain and equalisation, and its peaks limited.

    Its A-weighted level rises by no more than the setting planned for it.
    Silence comes back as it was.

    Args:
        sound: a prompt or a tone.
        setting: of the sound check.
        highest_dbfs: A-weighted level while it sounds that is not passed.
    """
    if not any(setting.band_gains_db) or not np.any(sound.frames):
        return sound
    shaped = apply_setting(sound.frames, sound.rate_hz, setting)
    if highest_dbfs is not None:
        level = prompt_octaves(shaped, sound.rate_hz, Calibration(0.0)).a_level_dba
        shaped *= 10 ** (-max(0.0, level - highest_dbfs) / 20)
    return Sound(
        frames=limit_peaks(shaped.astype(np.float32), sound.rate_hz),
        rate_hz=sound.rate_hz,
    )


class ShapedLink(AlteredLink):
    """Play prompts and tones through gain, equaliser and limiter.

    Args:
        link: what really plays and listens.
        setting: of the sound check; None where none was saved: standard shaping.
        highest_dbfs: A-weighted level that no sound may pass, so that a tone
            which is louder than the prompts keeps to the safe level too.
    """

    def __init__(
        self,
        link: SoundLink,
        setting: PromptSetting | None = None,
        highest_dbfs: float | None = None,
    ) -> None:
        super().__init__(link)
        self._setting = setting
        self._highest_dbfs = highest_dbfs
        self._shaped: OrderedDict[bytes, Sound] = OrderedDict()

    def altered(self, sound: Sound) -> Sound:
        """Shape each sound once: a prompt and its filters take some hundredths."""
        key = _key(sound)
        shaped = self._shaped.pop(key, None) or self._shape_anew(sound)
        self._shaped[key] = shaped
        if len(self._shaped) > KEPT_SOUNDS:
            self._shaped.popitem(last=False)
        return shaped

    def _shape_anew(self, sound: Sound) -> Sound:
        if self._setting is None:
            return shape_by_standard(sound)
        return shape_sound(sound, self._setting, self._highest_dbfs)


def _key(sound: Sound) -> bytes:
    """What is heard, not which object it is: tones are made anew each time."""
    data = np.ascontiguousarray(sound.frames).tobytes()
    return hashlib.blake2b(data, digest_size=16, salt=_rate(sound)).digest()


def _rate(sound: Sound) -> bytes:
    return sound.rate_hz.to_bytes(8, "big")


def shape_link(link: SoundLink, profile: PromptProfile | None) -> SoundLink:
    """Return the link that plays by a saved profile, or by the standard shaping.

    A sound check that found nothing to change leaves the link as it is.
    """
    if profile is None:
        return ShapedLink(link)
    if not any(profile.setting.band_gains_db):
        return link
    return ShapedLink(link, profile.setting, profile.highest_dbfs)
