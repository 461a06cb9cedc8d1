"""What comes of a setting on the prompts that are really played.

The setting is found by arithmetic on octave levels. Filters have slopes and
peaks are limited, so the shaped prompts are measured again.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.audio.shaped_link import shape_sound
from voicecheck.hearing.at_ear import IDLING_MACHINE, noise_at_ear
from voicecheck.hearing.protector import Protector
from voicecheck.hearing.sii import octave_spectrum_db, sii_octave
from voicecheck.hearing.soundcheck import PromptPath, SoundcheckReport
from voicecheck.hearing.spectrum import OctaveLevels
from voicecheck.speech.prompt_sample import PromptSample, measure_prompts

__all__ = ["Played", "play_through"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """What was measured on the spoken prompts after shaping them."""

    sii: float
    level_dba: float
    """At the ear."""
    prompts: int


def play_through(
    report: SoundcheckReport,
    sample: PromptSample,
    level_dba: float,
    protector: Protector | None,
) -> Played | None:
    """Shape the prompts as a walk will, and measure them at the ear.

    Args:
        report: the sound check, with the setting.
        sample: the prompts as they are.
        level_dba: how loud those are now, as given to the sound check.
        protector: the same as given to the sound check.

    Returns:
        None where the noise at the ear is unknown.
    """
    setting = report.prompt
    outside = report.noise.octave or IDLING_MACHINE.scaled_to_dba(
        report.noise.level_dba
    )
    ear = _at_ear(outside, report, protector)
    if setting is None or ear is None:
        return None
    shaped = measure_prompts([shape_sound(sound, setting) for sound in sample.sounds])
    # one digital level stands for one level at the ear, before and after
    scale_db = level_dba - sample.octave.a_level_dba
    heard: OctaveLevels | None = shaped.octave.shifted(scale_db)
    if report.prompt_path is PromptPath.LOUDSPEAKER and heard is not None:
        heard = _at_ear(heard, report, protector)
    if heard is None:
        return None
    index = sii_octave(octave_spectrum_db(heard), octave_spectrum_db(ear)).index
    return Played(
        sii=index,
        level_dba=heard.a_level_dba,
        prompts=len(sample.sounds),
    )


def _at_ear(
    outside: OctaveLevels, report: SoundcheckReport, protector: Protector | None
) -> OctaveLevels | None:
    return noise_at_ear(
        report.noise,
        outside,
        check=report.protection,
        protector=protector,
        practice=report.practice,
    )
