"""A conversation goes by what its recogniser says of itself."""

from __future__ import annotations

from voicecheck.dialogue.settings import settings_for
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser


def test_only_the_pair_was_tried_with_a_habit() -> None:
    """The one engine alone has other probabilities; see `dialogue.habit`."""
    sphinx = PocketSphinxRecogniser()

    alone = settings_for(sphinx)
    pair = settings_for(PairedRecogniser(sphinx), full=True)

    assert (alone.moves_odds, pair.moves_odds) == (False, True)
    assert (alone.engine, pair.engine) == ("pocketsphinx", "pocketsphinx+network")
    assert (alone.full, pair.full) == (False, True)
