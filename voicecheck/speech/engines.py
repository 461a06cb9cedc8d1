"""Choose the recogniser for a language."""

from __future__ import annotations

from enum import StrEnum

from voicecheck.errors import ModelError
from voicecheck.speech.models import find_model
from voicecheck.speech.ports import Recogniser


class Engine(StrEnum):
    """The recognisers that can be asked for."""

    VOSK = "vosk"
    EMBEDDED = "embedded"
    """PocketSphinx and the small network together; English."""
    POCKETSPHINX = "pocketsphinx"


def make_recogniser(language: str, engine: Engine | None = None) -> Recogniser:
    """Return a recogniser for a language.

    Args:
        language: for example "en".
        engine: the one to use; None: Vosk where a model of the language is
            there, else the embedded pair.

    Raises:
        ModelError: the engine has no model for the language.
    """
    model = find_model(language) if engine in (None, Engine.VOSK) else None
    if model is not None:
        from voicecheck.speech.vosk_recogniser import VoskRecogniser  # noqa: PLC0415

        return VoskRecogniser(model)
    if engine is Engine.VOSK:
        raise ModelError(
            f"there is no Vosk model for {language!r}: add one with "
            "voicecheck models add PATH"
        )
    from voicecheck.speech.pocketsphinx_recogniser import (  # noqa: PLC0415
        PocketSphinxRecogniser,
    )

    sphinx = PocketSphinxRecogniser(language)
    if engine is Engine.POCKETSPHINX:
        return sphinx
    from voicecheck.speech.paired_recogniser import PairedRecogniser  # noqa: PLC0415

    return PairedRecogniser(sphinx)
