"""What whoever watches is told of something heard."""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.dialogue.confirmation import Outcome
from voicecheck.dialogue.turns import Notice
from voicecheck.speech.ports import Heard, Hypothesis

__all__ = ["heard_notice"]


def heard_notice(
    hypotheses: Sequence[Hypothesis], outcome: Outcome, heard: Heard
) -> Notice:
    """Return the likeliest phrase, what became of it, and how loud it was."""
    best = hypotheses[0] if hypotheses else None
    return Notice(
        kind="heard",
        data={
            "phrase": best.phrase if best else None,
            "confidence": round(best.confidence, 4) if best else 0.0,
            "outcome": outcome.value,
            "snr_db": round(heard.snr_db, 1),
            "noise_dbfs": round(heard.noise_dbfs, 1),
        },
    )
