"""A sound check in words that an operator understands."""

from __future__ import annotations

import math

from voicecheck.hearing.at_ear import ProtectorCheck
from voicecheck.hearing.day import DayOfNoise, Dose
from voicecheck.hearing.dose import EuropeanAction
from voicecheck.hearing.interference import Voice
from voicecheck.hearing.prompt_level import PromptSetting, PromptVerdict
from voicecheck.hearing.protection import ProtectionVerdict
from voicecheck.hearing.sii_tables import OCTAVE
from voicecheck.hearing.soundcheck import PromptPath, SoundcheckReport

__all__ = ["CAUTIONS", "report_lines"]

CAUTIONS = (
    "This check is no substitute for a noise survey by a competent person. "
    "Local law and the site's rules come first.",
    "Figures hold only for a protector that fits, is in good order and is worn "
    "all the time. Bangs and other short peaks are not covered.",
    "Whatever the figures say: if you cannot hear alarms, vehicles or a shout, "
    "stop and tell your supervisor.",
)

_VERDICT_WORDS = {
    ProtectionVerdict.TOO_LITTLE: (
        "TOO LITTLE protection. Do not stay in this noise with it: "
        "get a stronger protector or move away."
    ),
    ProtectionVerdict.ACCEPTABLE_LOUD: (
        "Acceptable protection, but little to spare: check the fit."
    ),
    ProtectionVerdict.GOOD: "Good protection for this noise.",
    ProtectionVerdict.ACCEPTABLE_QUIET: (
        "Acceptable protection, rather strong: listen out for alarms."
    ),
    ProtectionVerdict.TOO_MUCH: (
        "TOO MUCH protection for this noise. You may miss alarms, vehicles and "
        "speech: ask for a lighter protector. Do not take this one off."
    ),
}

_PROMPT_WORDS = {
    PromptVerdict.REACHED: "The prompts can be understood at this setting.",
    PromptVerdict.SAFE_LEVEL: (
        "The prompts cannot be made clear here without passing the safe level at "
        "the ear. Walk away from the noise to listen, or read them on the screen."
    ),
    PromptVerdict.GAIN_LIMIT: (
        "The device is not loud enough to make the prompts clear here. "
        "Use a headset under the protector, or read them on the screen."
    ),
    PromptVerdict.OUT_OF_REACH: (
        "The prompts cannot be made clear here at any level. "
        "Walk away from the noise to listen, or read them on the screen."
    ),
}

_UNPROTECTED_LIMIT_DBA = 85.0
_UNPROTECTED_CARE_DBA = 80.0


def report_lines(report: SoundcheckReport) -> tuple[str, ...]:
    """Return the report as plain sentences, one to a line, cautions last."""
    return (
        *_noise_lines(report),
        *_protection_lines(report),
        *_prompt_lines(report),
        *_talk_lines(report),
        *(_day_lines(report.day) if report.day else ()),
        *report.assumptions,
        *CAUTIONS,
    )


def _noise_lines(report: SoundcheckReport) -> list[str]:
    noise = report.noise
    c_level = "" if noise.level_dbc is None else f" ({noise.level_dbc:.1f} dBC)"
    return [f"Noise here: {noise.level_dba:.1f} dBA{c_level}."]


def _protection_lines(report: SoundcheckReport) -> list[str]:
    if report.protection is None:
        return [_bare_ears(report.noise.level_dba)]
    check = report.protection
    lines = [*_method_lines(check)]
    lines += [f"Not computed: {reason}." for reason in check.missing]
    if check.verdict is None or check.used is None:
        lines.append(
            f"It is not known how well {check.name} protects here. "
            "Take it for too little until it is."
        )
        return lines
    lines.append(_VERDICT_WORDS[check.verdict])
    return lines


def _bare_ears(level_dba: float) -> str:
    if level_dba >= _UNPROTECTED_LIMIT_DBA:
        return "No hearing protector was named. Wear one in this noise."
    if level_dba >= _UNPROTECTED_CARE_DBA:
        return "No hearing protector was named. One is advised in this noise."
    return "No hearing protector was named."


def _method_lines(check: ProtectorCheck) -> list[str]:
    lines = []
    for level in check.levels:
        mark = ", used here" if level is check.used else ""
        practice = ""
        if level.real_world_dba > level.level_dba:
            added = level.real_world_dba - level.level_dba
            practice = f", {level.real_world_dba:.1f} with {added:g} dB for practice"
        lines.append(
            f"Under {check.name}: {level.level_dba:.1f} dBA by "
            f"{level.method}{practice}{mark}."
        )
    return lines


def _prompt_lines(report: SoundcheckReport) -> list[str]:
    prompt = report.prompt
    if prompt is None:
        return ["The prompts could not be checked: the noise at the ear is unknown."]
    lines = [
        f"Prompts as they are now: {_clarity(prompt.sii_before)}, "
        f"{prompt.level_before_dba:.0f} dBA at the ear.",
        *_setting_lines(prompt),
        _PROMPT_WORDS[prompt.verdict],
    ]
    if prompt.verdict is not PromptVerdict.REACHED:
        lines.append("Set the prompts to slow and say them twice.")
        if report.prompt_path is PromptPath.LOUDSPEAKER:
            lines.append("A headset under the protector would help most.")
    together = report.level_with_prompt_dba
    if together is not None and together > report.practice.action_level_dba:
        lines.append(
            f"While a prompt speaks, noise and prompt together make "
            f"{together:.1f} dBA at the ear."
        )
    return lines


def _setting_lines(prompt: PromptSetting) -> list[str]:
    if not any(prompt.band_gains_db):
        return ["No change is needed."]
    lines = [
        f"Set: gain {prompt.gain_db:+.1f} dB. Then: {_clarity(prompt.sii)}, "
        f"{prompt.level_dba:.0f} dBA at the ear."
    ]
    if any(prompt.equaliser_db):
        bands = zip(OCTAVE.midband_hz, prompt.equaliser_db, strict=True)
        changes = ", ".join(f"{hz:g} Hz {change:+.1f}" for hz, change in bands)
        lines.append(f"Equaliser on top of the gain, dB: {changes}.")
    return lines


def _clarity(index: float) -> str:
    return f"{100 * index:.0f} of 100 parts of the speech can be heard"


def _talk_lines(report: SoundcheckReport) -> list[str]:
    lines = []
    if report.talk is not None:
        lines.append(
            f"Talking without protectors, {_words(report.talk_voice)} voice at "
            f"{report.talk_distance_m:g} m: {report.talk.rating}."
        )
    rise = report.voice_rise
    if rise.most_db >= 1:
        lines.append(
            f"Expect voices to rise by {rise.least_db:.0f} to {rise.most_db:.0f} dB "
            "in this noise; that is less than the noise itself."
        )
    return lines


def _words(voice: Voice) -> str:
    return voice.name.lower().replace("_", " ")


def _day_lines(day: DayOfNoise) -> list[str]:
    conservation = _dose_words(day.osha_conservation)
    lines = [
        f"Today by the OSHA rule: {conservation}; "
        + ("action level reached." if day.reaches_osha_action_level else "below it.")
    ]
    if day.exceeds_osha_limit:
        percent = day.osha_permissible.percent
        lines.append(f"The OSHA permissible limit is passed: {percent:.0f} %.")
    lines.append(
        f"Today by the NIOSH recommendation: {_dose_words(day.niosh)}; "
        + ("limit reached." if day.reaches_niosh_limit else "within the limit.")
    )
    lines.append(
        f"Today by the European directive: {_level(day.exposure_8h_dba)} over 8 hours; "
        f"{day.european_action}."
    )
    lines += _limit_lines(day)
    if day.exceeds_steady_ceiling:
        lines.append("Part of the day is above 115 dBA: get out of that noise.")
    if day.european_action is not EuropeanAction.BELOW:
        lines.append("Tell your supervisor, so that the noise is surveyed.")
    return lines


def _limit_lines(day: DayOfNoise) -> list[str]:
    if day.exposure_8h_at_ear_dba is None:
        return ["The day's level under the protector is unknown."]
    passed = "above" if day.exceeds_european_limit else "not above"
    return [
        f"At the ear: {_level(day.exposure_8h_at_ear_dba)} over 8 hours; "
        f"{passed} the limit of 87."
    ]


def _dose_words(dose: Dose) -> str:
    if dose.percent == 0:
        return "no dose"
    return f"{dose.percent:.1f} % of a day's dose, average {dose.average_dba:.1f} dBA"


def _level(level_dba: float) -> str:
    return "no noise" if math.isinf(level_dba) else f"{level_dba:.1f} dBA"
