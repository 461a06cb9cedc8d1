"""How much memory does the embedded engine need?"""

from __future__ import annotations

import multiprocessing
import sys
from pathlib import Path

import numpy as np

__all__ = ["resident_mb"]


def resident_mb() -> float:
    """Return the resident memory of a fresh process that has heard something.

    It holds what a walk holds to hear: voice activity, recogniser, dialogue,
    checklist, and the voice that it got used to; the synthesiser's own process is not
    in it.
    """
    context = multiprocessing.get_context("spawn")
    with context.Pool(1) as pool:
        return pool.apply(_heard_once)


def _heard_once() -> float:
    # everything is imported here: a fresh process shall load only what it needs
    from voicecheck.audio.activity import Endpointer, SileroActivity  # noqa: PLC0415
    from voicecheck.audio.ports import BLOCK  # noqa: PLC0415
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.dialogue.wording import Wording  # noqa: PLC0415
    from voicecheck.speech.engines import Engine, make_recogniser  # noqa: PLC0415
    from voicecheck.speech.enrolment.acquaintance import Acquaintance  # noqa: PLC0415
    from voicecheck.speech.enrolment.profile import Example  # noqa: PLC0415
    from voicecheck.speech.grammar.active import active_set  # noqa: PLC0415
    from voicecheck.speech.paired_recogniser import PairedRecogniser  # noqa: PLC0415

    kept = (Wording(load("wheel-loader"), "en"), Endpointer(SileroActivity()))
    recogniser = make_recogniser("en", Engine.EMBEDDED)
    used: Acquaintance | None = None
    said: list[Example] = []
    rng = np.random.default_rng(1)
    for _ in range(30):
        kept[1].accept(rng.normal(0, 0.01, BLOCK).astype(np.float32))
    for question in ("condition", "number", "fault"):
        sound = rng.normal(0, 0.01, 24_000).astype(np.float32)
        recogniser.recognise(sound, active_set(question, "en"))
        if isinstance(recogniser, PairedRecogniser):
            said.append(Example(phrase="good", frames=sound))
            used = used or Acquaintance(recogniser, at_once=True)
            used.voice.learn(said)
            used.recogniser.recognise(sound, active_set("condition", "en"))
    return _resident_now_mb()


def _resident_now_mb() -> float:
    status = Path("/proc/self/status")
    if status.exists():
        for line in status.read_text(encoding="utf-8").splitlines():
            if line.startswith("VmRSS:"):
                return int(line.split()[1]) / 1024
    import resource  # noqa: PLC0415 - not on Windows

    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    # bytes on macOS, kilobytes elsewhere
    return most / (1024 * 1024 if sys.platform == "darwin" else 1024)
