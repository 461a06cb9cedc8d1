"""The corpus of the benchmarks where none was named, and their progress."""

from __future__ import annotations

from pathlib import Path

import typer

__all__ = ["built_corpus", "tell"]


def tell(text: str) -> None:
    """Print a line of progress."""
    typer.echo(text, err=True)


def built_corpus(*, all_phrases: bool = False) -> Path:
    """Build the small corpus where it is missing; say which voices it has.

    Args:
        all_phrases: every phrase of the grammars, not only those of hearing.
    """
    from voicecheck.bench.small_corpus import (  # noqa: PLC0415
        build_small_corpus,
        cache_folder,
    )

    folder = cache_folder()
    voices = build_small_corpus(folder, tell, all_phrases=all_phrases)
    names = sorted({voice.rsplit("/", 1)[0] for voice in voices})
    tell(f"voices of this computer, in {folder}: {', '.join(names)}")
    return folder
