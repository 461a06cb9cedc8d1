"""A session of practice on a microphone and a loudspeaker."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from voicecheck.errors import DeviceError

if TYPE_CHECKING:
    from voicecheck.audio.device import DeviceLink
    from voicecheck.cli.learn_sitting import Means
    from voicecheck.dialogue.runner import Watch
    from voicecheck.learn.events import LearnEvent
    from voicecheck.learn.sessions.ports import Session
    from voicecheck.learn.spoken.talk import Keep
    from voicecheck.round.checklist import Checklist


def spoken(
    session: Session, checklist: Checklist, keep: Keep, means: Means, learner: str
) -> None:
    """Practise by voice, to the end.

    Args:
        session: what is practised.
        checklist: in the language of the learner.
        keep: keeps events at once.
        means: devices and recogniser.
        learner: whose voice profile is used, where there is one.

    Raises:
        DeviceError: there is no microphone or loudspeaker; --typed needs none.
    """
    from voicecheck.cli import wiring  # noqa: PLC0415
    from voicecheck.cli.voices import hearing  # noqa: PLC0415
    from voicecheck.learn.events import Mode  # noqa: PLC0415
    from voicecheck.learn.spoken.hearing import for_practice  # noqa: PLC0415
    from voicecheck.learn.spoken.practice import (  # noqa: PLC0415
        practice_talk,
        practise,
    )

    def aside(text: str) -> None:
        print(text, file=sys.stderr, flush=True)

    opened = _link(means)
    if session.mode is Mode.NEXT and checklist.language != "en":
        aside(
            "Names of zones and points are often not understood in this language; "
            "--typed is surer."
        )
    found = hearing(checklist.language, means.engine, learner, aside, learn=False)
    recogniser = for_practice(found.recogniser)
    talk = practice_talk(session, checklist, recogniser, _keep(keep, checklist, means))
    with (
        opened as link,
        wiring.synthesiser() as synthesiser,
    ):
        for notice in link.notices:
            aside(notice)
        played, paced = wiring.louder(link), wiring.paced(synthesiser)
        shaped = wiring.shaped(played)

        def adapt(too_loud: bool) -> None:
            played.loud = paced.slow = too_loud

        practise(
            talk,
            shaped,
            recogniser,
            paced,
            found.watched(_shown(means), shaped, synthesiser),
            noise=wiring.noise_watch(link.input_device.name),
            adapt=adapt,
        )


def _link(means: Means) -> DeviceLink:
    """Open the devices first: without them nothing else need be loaded."""
    from voicecheck.audio.device import DeviceLink  # noqa: PLC0415

    try:
        return DeviceLink(input_device=means.input, output_device=means.output)
    except DeviceError as error:
        raise DeviceError(f"{error}; or practise with --typed") from error


def _shown(means: Means) -> Watch:
    """Return what prints what is said and heard."""

    def watch(kind: str, data: Mapping[str, Any]) -> None:
        match kind:
            case "prompt" | "readback":
                means.tell(f"   says: {data['text']}")
            case "listening":
                means.tell("   listens")
            case "heard":
                means.tell(f"   hears: {data['phrase'] or 'nothing it knows'}")
            case "noinput":
                means.tell("   hears nobody")
            case "device_lost":
                means.tell(f"   SOUND LOST: {data['reason']} - practice waits")
            case "device_back":
                means.tell("   sound is back")

    return watch


def _keep(keep: Keep, checklist: Checklist, means: Means) -> Keep:
    """Return what keeps events, and shows the sources that are not said."""
    from voicecheck.learn.events import Call  # noqa: PLC0415
    from voicecheck.learn.sessions.spot_feedback import sources  # noqa: PLC0415
    from voicecheck.learn.sessions.texts import Texts  # noqa: PLC0415
    from voicecheck.learn.situations import build  # noqa: PLC0415

    texts = Texts("spot", checklist.language)

    def kept(events: tuple[LearnEvent, ...]) -> None:
        keep(events)
        for event in events:
            if isinstance(event, Call):
                one = next(s for s in build(checklist) if s.id == event.situation)
                for line in sources(one, texts).splitlines():
                    means.tell(f"   {line}")

    return kept
