"""The sound check: noise, protector, prompt and day in one report.

Start here. `soundcheck` takes typed inputs and gives a `SoundcheckReport`;
`voicecheck.hearing.soundcheck_text` puts it into words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.hearing.at_ear import (
    IDLING_MACHINE,
    NoiseReading,
    ProtectorCheck,
    WearPractice,
    check_protector,
    noise_at_ear,
)
from voicecheck.hearing.day import DayOfNoise, sum_up_day
from voicecheck.hearing.dose import Exposure
from voicecheck.hearing.interference import (
    SpeechInterference,
    Voice,
    speech_interference,
)
from voicecheck.hearing.lombard import LombardRise, lombard_rise
from voicecheck.hearing.prompt_level import PromptLimits, PromptSetting, level_prompt
from voicecheck.hearing.protection import ProtectionMethod
from voicecheck.hearing.protector import Protector
from voicecheck.hearing.sii import (
    Intelligibility,
    rate_intelligibility,
    standard_speech,
)
from voicecheck.hearing.sii_tables import (
    OCTAVE_IMPORTANCE,
    SpeechMaterial,
    VocalEffort,
)
from voicecheck.hearing.spectrum import OctaveLevels, energy_sum_db

__all__ = ["DEFAULT_PROMPT_DBA", "PromptPath", "SoundcheckReport", "soundcheck"]

DEFAULT_PROMPT_DBA = 65.0
"""Level taken for a prompt of which nothing is known (our choice)."""


class PromptPath(StrEnum):
    """How the prompt comes to the ear."""

    HEADSET = "headset"
    """Under the protector: its levels are those at the ear."""
    LOUDSPEAKER = "loudspeaker"
    """From outside: the protector takes off what it takes off the noise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundcheckReport:
    """Everything that one sound check found."""

    noise: NoiseReading
    practice: WearPractice
    limits: PromptLimits
    prompt_path: PromptPath
    protection: ProtectorCheck | None
    """None where no protector is worn."""
    level_at_ear_dba: float | None
    """The noise at the ear; None where the protection is unknown."""
    prompt: PromptSetting | None
    """None where the noise at the ear is unknown."""
    talk: SpeechInterference | None
    """Two people talking without protectors; None without octave levels."""
    talk_voice: Voice
    talk_distance_m: float
    voice_rise: LombardRise
    day: DayOfNoise | None
    """None where no times were entered."""
    assumptions: tuple[str, ...]
    """What was taken for granted, in words."""

    @property
    def intelligibility(self) -> Intelligibility | None:
        """The index of the prompt as set, in a word."""
        return rate_intelligibility(self.prompt.sii) if self.prompt else None

    @property
    def level_with_prompt_dba(self) -> float | None:
        """Noise and prompt together at the ear while the prompt speaks."""
        if self.prompt is None or self.level_at_ear_dba is None:
            return None
        return energy_sum_db((self.level_at_ear_dba, self.prompt.level_dba))


def soundcheck(
    noise: NoiseReading,
    *,
    protector: Protector | None = None,
    second_protector: Protector | None = None,
    prompt: OctaveLevels | None = None,
    prompt_path: PromptPath = PromptPath.HEADSET,
    limits: PromptLimits | None = None,
    practice: WearPractice | None = None,
    material: SpeechMaterial = SpeechMaterial.AVERAGE,
    threshold_db: float | Sequence[float] = 0.0,
    exposures: Sequence[Exposure] = (),
    voice: Voice = Voice.LOUD,
    talk_distance_m: float = 1.0,
) -> SoundcheckReport:
    """Check whether a prompt can be heard here, and what the noise does.

    Args:
        noise: where the operator stands, outside the protector.
        protector: worn by the operator; None for bare ears.
        second_protector: worn together with it.
        prompt: octave levels of the prompt while it speaks, as played now: at
            the ear for a headset, at the operator's head for a loudspeaker.
            Standard speech at 65 dBA if left out.
        prompt_path: how the prompt comes to the ear.
        limits: target index, safe level, reach of the device.
        practice: how carefully the protector's figures are read.
        material: kind of speech, for the weights of the bands.
        threshold_db: the operator's hearing threshold, one value or six.
        exposures: the parts of the day, for the dose.
        voice: of a person talking to the operator.
        talk_distance_m: how far away that person stands.

    Raises:
        LevelError: an input is impossible.
    """
    limits, practice = limits or PromptLimits(), practice or WearPractice()
    check = None
    if protector is not None:
        check = check_protector(
            noise, protector, second=second_protector, practice=practice
        )

    def at_ear(outside: OctaveLevels) -> OctaveLevels | None:
        return noise_at_ear(
            noise, outside, check=check, protector=protector, practice=practice
        )

    ear = at_ear(noise.octave or IDLING_MACHINE.scaled_to_dba(noise.level_dba))
    played = prompt or _standard_prompt()
    heard = at_ear(played) if prompt_path is PromptPath.LOUDSPEAKER else played
    setting = None
    if ear is not None and heard is not None:
        setting = level_prompt(
            heard,
            ear,
            limits=limits,
            threshold_db=threshold_db,
            importance=OCTAVE_IMPORTANCE[material],
        )
    return SoundcheckReport(
        noise=noise,
        practice=practice,
        limits=limits,
        prompt_path=prompt_path,
        protection=check,
        level_at_ear_dba=None if ear is None else ear.a_level_dba,
        prompt=setting,
        talk=_talk(noise, voice, talk_distance_m),
        talk_voice=voice,
        talk_distance_m=talk_distance_m,
        voice_rise=lombard_rise(noise.level_dba),
        day=_day(noise, check, exposures),
        assumptions=_assumptions(noise, protector, check, prompt),
    )


def _standard_prompt() -> OctaveLevels:
    return standard_speech(VocalEffort.NORMAL).scaled_to_dba(DEFAULT_PROMPT_DBA)


def _talk(
    noise: NoiseReading, voice: Voice, distance_m: float
) -> SpeechInterference | None:
    if noise.octave is None:
        return None
    return speech_interference(noise.octave, voice, distance_m)


def _day(
    noise: NoiseReading, check: ProtectorCheck | None, exposures: Sequence[Exposure]
) -> DayOfNoise | None:
    if not exposures:
        return None
    return sum_up_day(exposures, reduction_db=_reduction_db(noise, check))


def _reduction_db(noise: NoiseReading, check: ProtectorCheck | None) -> float | None:
    if check is None or check.used is None:
        return None
    return max(0.0, noise.level_dba - check.used.real_world_dba)


def _assumptions(
    noise: NoiseReading,
    protector: Protector | None,
    check: ProtectorCheck | None,
    prompt: OctaveLevels | None,
) -> tuple[str, ...]:
    found = []
    if noise.octave is None:
        found.append(
            "The pitch of the noise was not measured: an idling diesel was assumed."
        )
    if protector is not None and check is not None and check.used is not None:
        if check.used.method is not ProtectionMethod.OCTAVE_BAND:
            found.append("The protector was taken to work alike at every pitch.")
        elif _stands_in_at_63_hz(noise, protector):
            found.append("At 63 Hz the protector was taken to work as at 125 Hz.")
    if prompt is None:
        found.append(
            "The prompt was not measured: standard speech at "
            f"{DEFAULT_PROMPT_DBA:g} dBA was assumed."
        )
    return tuple(found)


def _stands_in_at_63_hz(noise: NoiseReading, protector: Protector) -> bool:
    if noise.octave is None or protector.octave is None:
        return False
    return len(protector.octave.mean_db) < len(noise.octave.level_db)
