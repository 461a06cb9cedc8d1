"""How far apart two phrases sound, on a scale from 0 to 1.

The phones of both are aligned so that changing one phrase into the other costs
least (weighted edit distance after Wagner and Fischer 1974, JACM 21:168). A
phone changed into another costs how unlike the two are, times how much the
stronger one stands out of noise; a phone that is there only once costs its
strength. The cost is divided by the strength of the stronger phrase. So the
separation is the share of what is spoken that differs: 0 sounds the same, 1 has
nothing in common.
"""

from __future__ import annotations

from functools import cache

from voicecheck.speech.vocabulary.features import phone_distance, phone_strength
from voicecheck.speech.vocabulary.pronunciation import Phones, pronounce

__all__ = ["phones_separation", "separation"]


@cache
def separation(one: str, other: str, language: str = "en") -> float:
    """Return the separation of two phrases, 0 … 1.

    Where a phrase may be spoken in several ways, the two ways that sound most
    alike count.

    Raises:
        GrammarError, ModelError: as `pronounce`.
    """
    return min(
        phones_separation(a, b)
        for a in pronounce(one, language)
        for b in pronounce(other, language)
    )


def phones_separation(one: Phones, other: Phones) -> float:
    """Return the separation of two phrases given as phones.

    Raises:
        GrammarError: a symbol is no ARPAbet phone.
    """
    strength = max(_strength(one), _strength(other))
    if strength == 0:
        return 0.0
    return min(1.0, _edit_cost(one, other) / strength)


def _strength(phones: Phones) -> float:
    return sum(phone_strength(phone) for phone in phones)


def _edit_cost(one: Phones, other: Phones) -> float:
    """Return the least cost; plain lists, as single cells of arrays are slow."""
    gains = [phone_strength(phone) for phone in other]
    above = [0.0]
    for gain in gains:
        above.append(above[-1] + gain)
    for phone in one:
        loss = phone_strength(phone)
        row = [above[0] + loss]
        for at, (target, gain) in enumerate(zip(other, gains, strict=True)):
            changed = above[at] + _change_cost(phone, target)
            row.append(min(above[at + 1] + loss, row[at] + gain, changed))
        above = row
    return above[-1]


@cache
def _change_cost(one: str, other: str) -> float:
    stronger = max(phone_strength(one), phone_strength(other))
    return phone_distance(one, other) * stronger
