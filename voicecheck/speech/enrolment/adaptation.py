"""Let confirmed words join a profile: bounded, and always as a new version."""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.speech.enrolment.profile import Example, Source, by_phrase

__all__ = ["MOST_LEARNED", "with_learned", "without_learned"]

MOST_LEARNED = 3
"""Most learned examples of a word. Never more than enrolled ones, so that what
was said when asked weighs at least half."""


def with_learned(
    examples: Sequence[Example], learned: Sequence[Example]
) -> tuple[Example, ...]:
    """Add learned examples; the oldest learned ones leave, enrolled ones stay.

    Args:
        examples: of the profile, the oldest first.
        learned: new ones, the oldest first. Words that were never enrolled
            are left out: one confirmed word is no enrolment.
    """
    kept: list[Example] = []
    more = by_phrase(learned)
    for phrase, group in by_phrase(examples).items():
        enrolled = [e for e in group if e.source is Source.ENROLLED]
        old = [e for e in group if e.source is Source.LEARNED]
        most = min(MOST_LEARNED, len(enrolled))
        every = [*old, *more.get(phrase, ())]
        kept += [*enrolled, *(every[-most:] if most else ())]
    return tuple(kept)


def without_learned(examples: Sequence[Example]) -> tuple[Example, ...]:
    """Return the enrolled examples alone."""
    return tuple(e for e in examples if e.source is Source.ENROLLED)
