"""Every method that the data allow, and which one is believed."""

from __future__ import annotations

import pytest

from voicecheck.hearing.at_ear import (
    IDLING_MACHINE,
    NoiseReading,
    WearPractice,
    check_protector,
    noise_at_ear,
)
from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.protection import ProtectionMethod, ProtectionVerdict
from voicecheck.hearing.protector import Protector
from voicecheck.hearing.protector_text import parse_protector
from voicecheck.hearing.spectrum import OctaveLevels

EVERYTHING = parse_protector("""
mean: 13 20 33 35 38 47 41
sd: 6 6 6 6 7 8 8
H: 30, M: 24, L: 22, SNR: 28, NRR: 25
""")
CRUSHER = NoiseReading.of_octaves(OctaveLevels.of((98, 97, 96, 94, 92, 88, 84, 78)))


def test_all_methods_are_shown_and_octave_bands_believed() -> None:
    """With octave levels every method gives a figure; the finest one counts."""
    check = check_protector(CRUSHER, EVERYTHING)

    assert [level.method for level in check.levels] == [
        ProtectionMethod.OCTAVE_BAND,
        ProtectionMethod.HML,
        ProtectionMethod.SNR,
        ProtectionMethod.NRR_FROM_DBC,
        ProtectionMethod.NRR_FROM_DBA,
        ProtectionMethod.NRR_DERATED,
    ]
    assert check.used is check.levels[0]
    assert check.missing == ()


def test_hse_example_through_the_whole_check() -> None:
    """HSE's H-M-L example, 96 dBA and 99 dBC: 72.25, 76.3 with 4 dB, good."""
    noise = NoiseReading(level_dba=96, level_dbc=99)
    check = check_protector(noise, parse_protector("H 30, M 24, L 22"))

    assert check.used is not None
    assert check.used.level_dba == pytest.approx(72.25)
    assert check.used.real_world_dba == pytest.approx(76.25)
    assert check.verdict is ProtectionVerdict.GOOD


def test_dba_alone_leaves_only_the_nrr() -> None:
    """Without dBC and octaves the other methods are named as missing."""
    check = check_protector(NoiseReading(level_dba=100), EVERYTHING)

    assert check.used is not None
    assert check.used.method is ProtectionMethod.NRR_DERATED
    assert check.used.real_world_dba == check.used.level_dba == 91
    assert check.verdict is ProtectionVerdict.TOO_LITTLE
    assert len(check.missing) == 4


def test_underated_nrr_is_never_believed() -> None:
    """The label figure would call 78 dBA good; the derated one is used."""
    check = check_protector(
        NoiseReading(level_dba=100, level_dbc=100), Protector(nrr_db=29)
    )

    assert check.used is not None
    assert check.used.level_dba == 89
    assert check.verdict is ProtectionVerdict.TOO_LITTLE


def test_what_cannot_be_computed_has_no_verdict() -> None:
    """Unknown protection is unknown, not good."""
    check = check_protector(NoiseReading(level_dba=95), Protector(snr_db=28))

    assert check.levels == ()
    assert check.used is None
    assert check.verdict is None
    assert "dBC" in check.missing[0]


def test_two_protectors_by_the_nrr_rule() -> None:
    """OSHA Technical Manual, from memory: better one derated, plus 5 dB."""
    check = check_protector(
        NoiseReading(level_dba=100),
        Protector(name="muffs", nrr_db=25),
        second=Protector(name="plugs", nrr_db=29),
    )

    assert check.name == "muffs and plugs"
    assert check.used is not None
    assert check.used.level_dba == 84


def test_two_protectors_without_both_ratings_stay_unknown() -> None:
    """No other published rule for two is known here."""
    check = check_protector(CRUSHER, EVERYTHING, second=Protector(snr_db=30))

    assert check.verdict is None
    assert "NRR of both" in check.missing[0]


def test_more_deviations_leave_more_noise() -> None:
    """The careful reading of the packaging gives the louder ear."""
    usual = check_protector(CRUSHER, EVERYTHING)
    careful = check_protector(CRUSHER, EVERYTHING, practice=WearPractice(deviations=2))

    assert usual.used is not None
    assert careful.used is not None
    assert careful.used.level_dba > usual.used.level_dba


def test_noise_at_the_ear_has_the_level_that_the_verdict_saw() -> None:
    """Bands and verdict rest on one and the same figure, with any method."""
    for text in ("SNR 28", "H 30, M 24, L 22", "NRR 25"):
        protector = parse_protector(text)
        check = check_protector(CRUSHER, protector)
        assert CRUSHER.octave is not None
        ear = noise_at_ear(CRUSHER, CRUSHER.octave, check=check, protector=protector)

        assert ear is not None
        assert check.used is not None
        assert ear.a_level_dba == pytest.approx(check.used.real_world_dba)


def test_octave_data_shape_the_noise_at_the_ear() -> None:
    """Band by band, with the addition for practice on top."""
    assert CRUSHER.octave is not None
    check = check_protector(CRUSHER, EVERYTHING)
    ear = noise_at_ear(CRUSHER, CRUSHER.octave, check=check, protector=EVERYTHING)

    assert ear is not None
    assert ear.level_db == (95, 94, 86, 71, 67, 61, 49, 49)
    assert check.used is not None
    assert ear.a_level_dba == pytest.approx(check.used.real_world_dba)


def test_bare_ears_hear_the_noise_itself() -> None:
    """Without a protector nothing is taken off."""
    assert noise_at_ear(CRUSHER, IDLING_MACHINE, check=None, protector=None) is (
        IDLING_MACHINE
    )


def test_impossible_readings_are_refused() -> None:
    """An uncalibrated level below 0 and a careless practice get an error."""
    with pytest.raises(LevelError, match="calibrated"):
        NoiseReading(level_dba=-32)
    with pytest.raises(LevelError, match="dBC"):
        NoiseReading(level_dba=80, level_dbc=500)
    with pytest.raises(LevelError, match="deviations"):
        WearPractice(deviations=-1)
    with pytest.raises(LevelError, match="real-world"):
        WearPractice(real_world_db=-4)
