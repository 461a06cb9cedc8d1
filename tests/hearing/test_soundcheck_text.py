"""The words that an operator reads."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.hearing.at_ear import NoiseReading
from voicecheck.hearing.dose import Exposure
from voicecheck.hearing.prompt_level import PromptLimits
from voicecheck.hearing.protector import Protector
from voicecheck.hearing.protector_text import parse_protector
from voicecheck.hearing.soundcheck import PromptPath, soundcheck
from voicecheck.hearing.soundcheck_text import CAUTIONS, report_lines
from voicecheck.hearing.spectrum import OctaveLevels

CRUSHER = NoiseReading.of_octaves(OctaveLevels.of((98, 97, 96, 94, 92, 88, 84, 78)))
DEFENDER = parse_protector(
    "name: yard ear defender\nmean 13 20 33 35 38 47 41\nsd 6 6 6 6 7 8 8\nSNR 28"
)


def words(**inputs: object) -> str:
    noise = inputs.pop("noise", CRUSHER)
    return "\n".join(report_lines(soundcheck(noise, **inputs)))  # type: ignore[arg-type]


def test_figures_and_their_methods_are_named() -> None:
    """Level outside, level under the protector by each method, and which counts."""
    text = words(protector=DEFENDER)

    assert "Noise here: 96.7 dBA (102.8 dBC)." in text
    assert "Under yard ear defender: 77.4 dBA by octave bands" in text
    assert "81.4 with 4 dB for practice, used here" in text
    assert "by SNR" in text


@pytest.mark.parametrize(
    ("protector", "expected"),
    [
        ("H 15, M 12, L 8", "TOO LITTLE protection"),
        ("H 22, M 20, L 16", "little to spare"),
        ("H 28, M 25, L 22", "Good protection"),
        ("H 33, M 31, L 28", "rather strong"),
        ("H 40, M 38, L 36", "TOO MUCH protection"),
    ],
)
def test_each_verdict_has_its_words(protector: str, expected: str) -> None:
    """From too little to too much, in plain words."""
    noise = NoiseReading(level_dba=97, level_dbc=99)

    assert expected in words(noise=noise, protector=parse_protector(protector))


def test_too_much_protection_is_not_taken_off() -> None:
    """Over-protection is answered by a lighter protector, never by none."""
    noise = NoiseReading(level_dba=90, level_dbc=92)
    text = words(noise=noise, protector=parse_protector("H 40, M 38, L 36"))

    assert "Do not take this one off" in text


def test_unknown_protection_counts_as_too_little() -> None:
    """Missing data lean to the safe side, with what to do about it."""
    text = words(noise=NoiseReading(level_dba=95), protector=Protector(snr_db=28))

    assert "SNR needs a reading in dBC as well" in text
    assert "Take it for too little" in text
    assert "could not be checked" in text


@pytest.mark.parametrize(
    ("level", "expected"),
    [(85.0, "Wear one"), (80.0, "is advised"), (79.9, "was named.")],
)
def test_bare_ears(level: float, expected: str) -> None:
    """From 85 dBA on a protector is asked for, from 80 dBA advised."""
    assert expected in words(noise=NoiseReading(level_dba=level))


def test_a_setting_is_spelled_out() -> None:
    """Gain and equaliser are given with signs, band by band."""
    noise = NoiseReading.of_octaves(OctaveLevels.of((75, 73, 71, 69, 65, 59, 51)))
    text = words(noise=noise, limits=PromptLimits(cap_dba=78))

    assert "Set: gain +" in text
    assert "Equaliser on top of the gain" in text
    assert "2000 Hz +" in text


def test_no_change_is_said() -> None:
    """A prompt that is clear already is left alone, in words."""
    quiet = NoiseReading.of_octaves(OctaveLevels.of((40, 35, 30, 25, 20, 15, 10)))

    assert "No change is needed." in words(noise=quiet)


def test_failure_is_said_with_a_way_out() -> None:
    """Safe level, device, loudspeaker: each failure names another way."""
    loud = NoiseReading.of_octaves(OctaveLevels.of((85, 83, 81, 79, 75, 69, 61)))
    safe = words(noise=loud, prompt_path=PromptPath.LOUDSPEAKER)
    noise = NoiseReading.of_octaves(OctaveLevels.of((70, 68, 66, 64, 60, 54, 46)))
    device = words(noise=noise, limits=PromptLimits(max_gain_db=1))

    assert "without passing the safe level" in safe
    assert "Walk away from the noise" in safe
    assert "headset under the protector would help most" in safe
    assert "at any level" in words()
    assert "not loud enough" in device
    assert "say them twice" in device


def test_a_loud_sum_is_shown() -> None:
    """Noise and prompt above the action level at the ear are not hidden."""
    assert "noise and prompt together make 96.8 dBA" in words()


def test_the_day_is_told_by_every_rule() -> None:
    """2 h at 95, 4 h at 90, 2 h at 85: 112.5 % (OSHA), 435.7 % (NIOSH)."""
    text = words(
        protector=DEFENDER,
        exposures=[
            Exposure(level_dba=95, duration_h=2, protector_worn=True),
            Exposure(level_dba=90, duration_h=4, protector_worn=True),
            Exposure(level_dba=85, duration_h=2),
        ],
    )

    assert "OSHA rule: 112.5 % of a day's dose, average 90.8 dBA" in text
    assert "NIOSH recommendation: 435.7 % of a day's dose, average 91.4 dBA" in text
    assert "91.4 dBA over 8 hours; upper action value reached" in text
    assert "not above the limit of 87" in text
    assert "Tell your supervisor" in text


def test_a_dangerous_day_says_so() -> None:
    """Limits passed and levels above 115 dBA are named."""
    text = words(exposures=[Exposure(level_dba=116, duration_h=1)])

    assert "permissible limit is passed" in text
    assert "; above the limit of 87" in text
    assert "get out of that noise" in text


def test_an_unknown_level_at_the_ear_is_said() -> None:
    """A day under a protector of unknown effect has no level at the ear."""
    text = words(
        noise=NoiseReading(level_dba=95),
        protector=Protector(snr_db=28),
        exposures=[Exposure(level_dba=95, duration_h=1, protector_worn=True)],
    )

    assert "level under the protector is unknown" in text


def test_a_quiet_day_is_no_alarm() -> None:
    """Below every bound the words stay calm."""
    text = words(exposures=[Exposure(level_dba=60, duration_h=8)])

    assert "no dose; below it" in text
    assert "Tell your supervisor, so that" not in text


@settings(deadline=None, max_examples=6)
@given(
    st.floats(30, 110),
    st.sampled_from([None, "SNR 28", "NRR 25", "H 30, M 24, L 22"]),
    st.sampled_from([None, 3.0]),
)
def test_cautions_always_stand_last(
    level: float, protector: str | None, c_less_a: float | None
) -> None:
    """Every report ends with the cautions: a survey, the fit, your own ears."""
    noise = NoiseReading(
        level_dba=level, level_dbc=None if c_less_a is None else level + c_less_a
    )
    worn = parse_protector(protector) if protector else None
    lines = report_lines(soundcheck(noise, protector=worn))

    assert lines[-len(CAUTIONS) :] == CAUTIONS
    assert "no substitute for a noise survey" in lines[-3]
    assert all(line.endswith((".", "!")) for line in lines)
