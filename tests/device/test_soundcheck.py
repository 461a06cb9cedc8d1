"""A noise measured by a real microphone, beside a sound level meter."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.testing.pulse import PulseServer, Talker

pytestmark = pytest.mark.device

METER_DBA = 90.0


def pink(seconds: float) -> Frames:
    """Equal power in each octave from 60 Hz, at -26 dB against full scale."""
    count = round(seconds * RATE_HZ)
    hz = np.fft.rfftfreq(count, 1 / RATE_HZ)
    rng = np.random.default_rng(7)
    tilt = np.where(hz > 60, np.maximum(hz, 60) ** -0.5, 0.0)
    turns = np.exp(2j * np.pi * rng.random(hz.size))
    sound = np.fft.irfft(tilt * turns, count)
    return np.asarray(0.05 * sound / sound.std(), dtype=np.float32)


def test_a_recording_takes_its_level_from_the_meter(
    server: PulseServer, talker: Talker, tmp_path: Path
) -> None:
    """It is the meter's dB(A); by the weightings of IEC 61672-1 pink noise has 1 to
    3 dB more in dB(C); the microphone stays calibrated."""
    noise = threading.Thread(target=talker.say, args=(pink(14.0), RATE_HZ), daemon=True)
    noise.start()

    ran = subprocess.run(
        [
            *(sys.executable, "-m", "voicecheck.cli.main", "soundcheck", "--json"),
            *("--record", "5", "--reference", str(METER_DBA)),
            *("--protector", "H 30, M 24, L 22", "--save"),
        ],
        env={**server.environment, "VOICECHECK_HOME": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )

    assert ran.returncode in (0, 1), ran.stderr
    told = json.loads(ran.stdout)
    saved = json.loads((tmp_path / "soundcheck.json").read_text("utf-8"))
    assert told["noise"]["level_dba"] == pytest.approx(METER_DBA, abs=0.1)
    assert 1.0 <= told["noise"]["level_dbc"] - told["noise"]["level_dba"] <= 3.0
    assert saved["calibration"]["full_scale_db"] > METER_DBA
