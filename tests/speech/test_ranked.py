"""Which of the phrases that may have been said are told to the dialogue."""

from __future__ import annotations

from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.paired_recogniser import ranked

CONDITION = active_set("condition", "en")


def test_ways_to_say_the_same_do_not_crowd_out_a_finding() -> None:
    """Two ways each to say two things come first; the defect behind them is told."""
    found = {
        "good": 0.5,
        "all in order": 0.2,
        "cannot check": 0.1,
        "unable": 0.09,
        "defect": 0.05,
        "leak": 0.03,
    }
    told = ranked(found, CONDITION)

    assert [h.phrase for h in told] == [*found][:5]
    assert [h.confidence for h in told] == [0.5, 0.2, 0.1, 0.09, 0.05]


def test_only_phrases_that_may_be_said_are_told() -> None:
    """A word of another question is none."""
    assert ranked({"dripping": 0.9}, CONDITION) == ()
