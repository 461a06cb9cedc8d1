"""Pick the adapters: the one place where ports meet libraries."""

from __future__ import annotations

from voicecheck import settings
from voicecheck.errors import UsageError
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser


def synthesiser() -> Pyttsx3Synthesiser:
    """Return the synthesiser, with its cache in the home folder."""
    return Pyttsx3Synthesiser(settings.home() / "spoken")


def confirms_always(policy: str) -> bool:
    """Read the value of `--confirm`.

    Raises:
        UsageError: it is neither of the two.
    """
    if policy not in ("findings", "always"):
        raise UsageError(f"--confirm takes findings or always, not {policy!r}")
    return policy == "always"
