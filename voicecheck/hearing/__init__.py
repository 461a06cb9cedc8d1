"""Hearing: noise, protectors, intelligibility of prompts, noise dose.

Pure computation: no files, no devices, no clock. Imports numpy, scipy and
`voicecheck.errors` only. Start reading at `voicecheck.hearing.soundcheck`.

Every figure carries its published source in the docstring that computes it;
what is from memory or our own choice says so. None of it replaces a noise
survey by a competent person.
"""

from voicecheck.hearing.at_ear import NoiseReading, WearPractice
from voicecheck.hearing.dose import Exposure
from voicecheck.hearing.errors import HearingError, LevelError, ProtectorDataError
from voicecheck.hearing.prompt_level import PromptLimits, PromptSetting, PromptVerdict
from voicecheck.hearing.protector import Protector
from voicecheck.hearing.protector_text import parse_protector, protector_from_mapping
from voicecheck.hearing.soundcheck import PromptPath, SoundcheckReport, soundcheck
from voicecheck.hearing.soundcheck_text import report_lines
from voicecheck.hearing.spectrum import OctaveLevels

__all__ = [
    "Exposure",
    "HearingError",
    "LevelError",
    "NoiseReading",
    "OctaveLevels",
    "PromptLimits",
    "PromptPath",
    "PromptSetting",
    "PromptVerdict",
    "Protector",
    "ProtectorDataError",
    "SoundcheckReport",
    "WearPractice",
    "parse_protector",
    "protector_from_mapping",
    "report_lines",
    "soundcheck",
]
