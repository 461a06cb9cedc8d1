"""The whole sound check."""

from __future__ import annotations

import math
from dataclasses import asdict

import pytest

from voicecheck.hearing.at_ear import NoiseReading, WearPractice
from voicecheck.hearing.dose import Exposure
from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.prompt_level import PromptLimits, PromptVerdict
from voicecheck.hearing.protection import ProtectionVerdict
from voicecheck.hearing.protector_text import parse_protector
from voicecheck.hearing.sii import Intelligibility, octave_spectrum_db, sii_octave
from voicecheck.hearing.sii_tables import OCTAVE_IMPORTANCE, SpeechMaterial
from voicecheck.hearing.soundcheck import PromptPath, soundcheck
from voicecheck.hearing.spectrum import OctaveLevels

CRUSHER = NoiseReading.of_octaves(OctaveLevels.of((98, 97, 96, 94, 92, 88, 84, 78)))
DEFENDER = parse_protector("mean 13 20 33 35 38 47 41\nsd 6 6 6 6 7 8 8")
PROMPT = OctaveLevels.of((45, 55, 60, 63, 58, 52, 46))


def test_headset_under_a_fitting_defender() -> None:
    """In crusher noise under the HSE example defender the prompt can be set."""
    report = soundcheck(CRUSHER, protector=DEFENDER, prompt=PROMPT)

    assert report.protection is not None
    assert report.protection.used is not None
    assert report.level_at_ear_dba == pytest.approx(
        report.protection.used.real_world_dba
    )
    assert report.protection.verdict is ProtectionVerdict.ACCEPTABLE_LOUD
    assert report.prompt is not None
    assert report.prompt.verdict is PromptVerdict.REACHED
    assert report.intelligibility is Intelligibility.GOOD
    assert report.prompt.level_dba <= PromptLimits().cap_dba


def test_index_before_is_that_of_the_measured_prompt() -> None:
    """A headset prompt meets the noise under the protector, band by band."""
    report = soundcheck(CRUSHER, protector=DEFENDER, prompt=PROMPT)
    ear = OctaveLevels.of((95, 94, 86, 71, 67, 61, 49, 49))
    expected = sii_octave(octave_spectrum_db(PROMPT), octave_spectrum_db(ear)).index

    assert report.prompt is not None
    assert report.prompt.sii_before == pytest.approx(expected)


def test_a_loudspeaker_has_to_pass_the_protector() -> None:
    """The same prompt from outside is far softer at the ear."""
    headset = soundcheck(CRUSHER, protector=DEFENDER, prompt=PROMPT)
    speaker = soundcheck(
        CRUSHER,
        protector=DEFENDER,
        prompt=PROMPT,
        prompt_path=PromptPath.LOUDSPEAKER,
    )

    assert headset.prompt is not None
    assert speaker.prompt is not None
    assert speaker.prompt.level_before_dba < headset.prompt.level_before_dba - 10
    assert speaker.prompt.sii_before < headset.prompt.sii_before


def test_material_changes_the_weights() -> None:
    """Rhyme-like words weigh the bands by Table B.3."""
    report = soundcheck(CRUSHER, prompt=PROMPT, material=SpeechMaterial.RHYME)
    assert CRUSHER.octave is not None
    expected = sii_octave(
        octave_spectrum_db(PROMPT),
        octave_spectrum_db(CRUSHER.octave),
        importance=OCTAVE_IMPORTANCE[SpeechMaterial.RHYME],
    ).index

    assert report.prompt is not None
    assert report.prompt.sii_before == pytest.approx(expected)


def test_unknown_protection_leaves_the_prompt_unknown() -> None:
    """No level at the ear, no verdict, no setting: nothing is invented."""
    report = soundcheck(NoiseReading(level_dba=95), protector=parse_protector("SNR 28"))

    assert report.protection is not None
    assert report.protection.verdict is None
    assert report.level_at_ear_dba is None
    assert report.prompt is None
    assert report.intelligibility is None
    assert report.level_with_prompt_dba is None


def test_everything_assumed_is_named() -> None:
    """dBA alone, a single number and no prompt: three assumptions."""
    report = soundcheck(NoiseReading(level_dba=95), protector=parse_protector("NRR 25"))

    assert len(report.assumptions) == 3
    assert report.talk is None


def test_measured_inputs_need_no_assumptions() -> None:
    """Octaves from 125 Hz, octave data and a measured prompt leave none."""
    noise = NoiseReading.of_octaves(OctaveLevels.of((90, 88, 85, 84, 80, 75, 70)))
    report = soundcheck(noise, protector=DEFENDER, prompt=PROMPT)

    assert report.assumptions == ()
    assert report.talk is not None


def test_the_day_counts_the_protector_only_for_the_limit() -> None:
    """Doses are those outside; the level at the ear is lower by the reduction."""
    worn = [Exposure(level_dba=CRUSHER.level_dba, duration_h=8, protector_worn=True)]
    report = soundcheck(CRUSHER, protector=DEFENDER, exposures=worn)

    assert report.day is not None
    assert report.day.exposure_8h_dba == pytest.approx(CRUSHER.level_dba)
    assert report.day.exposure_8h_at_ear_dba == pytest.approx(report.level_at_ear_dba)


def test_no_times_no_day() -> None:
    """Without exposures nothing is said about the dose."""
    assert soundcheck(CRUSHER).day is None


def test_prompt_and_noise_add_up_at_the_ear() -> None:
    """The sum is above each part and within 3.02 dB of the louder."""
    report = soundcheck(CRUSHER, protector=DEFENDER, prompt=PROMPT)

    assert report.prompt is not None
    assert report.level_at_ear_dba is not None
    assert report.level_with_prompt_dba is not None
    louder = max(report.prompt.level_dba, report.level_at_ear_dba)
    assert louder < report.level_with_prompt_dba <= louder + 3.02


def test_stricter_sites_get_stricter_verdicts() -> None:
    """An action level of 80 turns acceptable into too little."""
    practice = WearPractice(action_level_dba=80)
    report = soundcheck(CRUSHER, protector=DEFENDER, practice=practice)

    assert report.protection is not None
    assert report.protection.verdict is ProtectionVerdict.TOO_LITTLE


def test_a_report_is_plain_data() -> None:
    """It turns into nested dictionaries, and no level in it is nan."""
    data = asdict(soundcheck(CRUSHER, protector=DEFENDER, prompt=PROMPT))

    assert data["noise"]["level_dba"] == pytest.approx(96.7, abs=0.05)
    assert not math.isnan(data["prompt"]["sii"])


def test_bad_input_is_an_error_of_this_room() -> None:
    """A talker at no distance is refused with a clear text."""
    with pytest.raises(LevelError, match="distance"):
        soundcheck(CRUSHER, talk_distance_m=0)
