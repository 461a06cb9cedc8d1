"""One question outside a walk that only a sure, spoken yes answers.

Silence, chatter, a doubtful yes and anything else are no yes. A no counts however
doubtfully it is heard: it leaves things as they are.
"""

from __future__ import annotations

from collections.abc import Callable

from voicecheck.audio.ports import SoundLink
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.dialogue.confirmation import Outcome, decide, fitting
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import Heard, Hypothesis, Listened, Synthesiser

TRIES = 3
"""Times that somebody is listened to before nobody has said yes."""
TIMEOUT_S = 8.0
_KEEP_S = 0.25


class SpokenYes:
    """Ask aloud, and listen.

    Args:
        link: where to play and listen.
        listener: hears on the same link.
        speaker: speaks the questions.
        language: of questions and answers.
        again: the short question after something that was not understood.
        tell: told each text that is spoken, for the display.
    """

    def __init__(
        self,
        link: SoundLink,
        listener: Listener,
        speaker: Synthesiser,
        language: str,
        *,
        again: str,
        tell: Callable[[str], object] = lambda _: None,
    ) -> None:
        self._link = link
        self._listener = listener
        self._speaker = speaker
        self._language = language
        self._again = again
        self._tell = tell
        self._active = active_set("yes_no", language, ("yes", "no"))

    def __call__(self, question: str) -> bool:
        """Tell whether somebody said yes to the question, surely.

        Raises:
            DeviceLost: the microphone or the loudspeaker went away: no yes.
        """
        text = question
        for _ in range(TRIES):
            self._say(text)
            self._link.play(make_tone(Tone.LISTENING))
            heard = self._listener.listen(self._active, TIMEOUT_S, _KEEP_S)
            hypotheses = self._hypotheses(heard)
            meaning = hypotheses[0].meaning if hypotheses else ""
            if meaning in {"no", "back"}:
                return False
            if meaning == "yes" and decide(hypotheses) is Outcome.ACCEPT:
                return True
            text = question if meaning in {"repeat", "help"} else self._again
        return False

    def _hypotheses(self, listened: Listened) -> tuple[Hypothesis, ...]:
        if not isinstance(listened, Heard):
            return ()
        return fitting(listened, self._active)

    def _say(self, text: str) -> None:
        self._tell(text)
        self._link.play(self._speaker.speak(text, self._language))
