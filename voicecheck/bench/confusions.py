"""Write down what was taken for what, for `voicecheck vocabulary --confusions`."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from pathlib import Path

from voicecheck.bench.measure import Outcome
from voicecheck.speech.vocabulary.confusions import Confusions

__all__ = ["confusions_of", "write_confusions"]


def confusions_of(
    outcomes: Iterable[Outcome], source: str, accept: float = 0.0
) -> Confusions:
    """Count outcomes of our phrases; what falls below `accept` was not heard.

    Args:
        outcomes: of one engine; other speech is left out.
        source: which engine, voices and noises.
        accept: confidence from which the engine accepts; 0 keeps every
            likeliest phrase, which shows more mix-ups.
    """
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    for outcome in outcomes:
        if outcome.said:
            sure = outcome.heard is not None and outcome.confidence >= accept
            counts[outcome.said][outcome.heard or "" if sure else ""] += 1
    listed = {said: dict(sorted(row.items())) for said, row in sorted(counts.items())}
    return Confusions(source=source, counts=listed)


def write_confusions(path: Path, confusions: Confusions) -> None:
    """Write a confusion matrix as JSON."""
    text = confusions.model_dump_json(by_alias=True, indent=1)
    path.write_text(text + "\n", encoding="utf-8")
