"""What a clip says, as it is to be learned."""

from __future__ import annotations

from voicecheck.bench.training.spoken import phone_table, words_said
from voicecheck.speech.network.phones import SYMBOLS


def test_what_a_text_says_in_digits() -> None:
    """Radio spellings count as their digit; other words make no number."""
    assert words_said("niner decimal fower") == (9, 10, 4)
    assert words_said("zero") == (0,)
    assert words_said("four wheels") is None
    assert words_said("oh four") is None


def test_phones_of_a_text() -> None:
    """The usual pronunciation; -1 where a word is in no dictionary.

    Source: the CMU pronouncing dictionary, entry "good".
    """
    table, counts = phone_table(["good", "xyzzyx"])

    assert [SYMBOLS[i] for i in table[0, : counts[0]]] == ["G", "UH", "D"]
    assert counts[1] == -1
