"""The process in which pyttsx3 lives.

Its engine cannot be interrupted and some of its drivers hang on a second run,
so it gets a process of its own that the program can end. It reads one JSON
object a line (`text`, `voice`, `rate`, `pitch`, `path`) and answers one line.
"""

from __future__ import annotations

import contextlib
import ctypes
import json
import os
import sys
from pathlib import Path
from typing import Any

_TRIES = 4
_HEADER_BYTES = 100


def _prepare_espeak() -> str | None:
    """Load the espeak-ng that comes with a wheel; None where there is none."""
    try:
        import espeakng_loader  # noqa: PLC0415
    except ImportError:
        return None
    # pyttsx3 looks the library up by its bare name: it must be there already
    ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
    return "espeak"


def _engine() -> Any:
    import pyttsx3  # noqa: PLC0415

    if sys.platform.startswith("linux"):
        return pyttsx3.init(_prepare_espeak() or "espeak")
    return pyttsx3.init()


def _voice_for(engine: Any, wanted: str) -> str | None:
    """Return the id of a voice: the exact one, or one of that language."""
    voices = engine.getProperty("voices") or []
    ids = [voice.id for voice in voices]
    base = wanted.split("+", maxsplit=1)[0]
    for candidate in ids:
        if candidate == base or candidate.endswith(f"/{base}"):
            variant = wanted[len(base) :]
            return str(candidate) + variant
    for voice in voices:
        languages = [str(language).lower() for language in voice.languages or []]
        if any(base.split("-")[0] in language for language in languages):
            return str(voice.id)
    return None


def _speak(engine: Any, order: dict[str, Any]) -> None:
    voice = _voice_for(engine, order["voice"])
    if voice is None:
        raise ValueError(f"no voice for {order['voice']!r} on this computer")
    engine.setProperty("voice", voice)
    engine.setProperty("rate", order["rate"])
    if "pitch" in order and sys.platform.startswith("linux"):
        engine.setProperty("pitch", order["pitch"])
    path = Path(order["path"])
    for _ in range(_TRIES):
        engine.save_to_file(order["text"], order["path"])
        engine.runAndWait()
        # now and then, after a change of voice, the driver writes no samples
        if path.is_file() and path.stat().st_size > _HEADER_BYTES:
            return
    raise ValueError("the engine wrote no sound")


def main() -> None:
    """Serve orders until the input ends."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    engine = None
    for line in sys.stdin:
        order = json.loads(line)
        try:
            # the library prints to stdout
            with contextlib.redirect_stdout(sys.stderr):
                engine = engine or _engine()
                _speak(engine, order)
            answer: dict[str, Any] = {"ok": True}
        except Exception as error:  # noqa: BLE001  (whatever it is, it is told)
            answer = {"ok": False, "error": f"{type(error).__name__}: {error}"}
        answers.write(json.dumps(answer) + "\n")
        answers.flush()


if __name__ == "__main__":
    main()
