"""Choose the recogniser for a language."""

from __future__ import annotations

from enum import StrEnum

from voicecheck.errors import ModelError
from voicecheck.speech.models import find_model
from voicecheck.speech.ports import Recogniser


class Engine(StrEnum):
    """The recognisers that can be asked for."""

    VOSK = "vosk"
    POCKETSPHINX = "pocketsphinx"


def make_recogniser(language: str, engine: Engine | None = None) -> Recogniser:
    """Return a recogniser for a language.

    Args:
        language: for example "en".
        engine: the one to use; None: Vosk where a model of the language is
            there, else PocketSphinx.

    Raises:
        ModelError: the engine has no model for the language.
    """
    model = None
    if engine is not Engine.POCKETSPHINX:
        model = find_model(language)
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

    return PocketSphinxRecogniser(language)
