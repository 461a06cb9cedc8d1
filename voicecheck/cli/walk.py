"""`voicecheck walk`: the real walk, on a microphone and a loudspeaker."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli.barge_in_mode import BargeInMode
from voicecheck.cli.options import SiteRules
from voicecheck.speech.engines import Engine

if TYPE_CHECKING:
    from voicecheck.audio.ports import SoundLink
    from voicecheck.cli.voices import Hearing
    from voicecheck.clock import Clock
    from voicecheck.dialogue.runner import Watch
    from voicecheck.round.checklist import Checklist
    from voicecheck.speech.ports import Synthesiser
    from voicecheck.store.ports import Journal
    from voicecheck.store.session import WalkSession


def walk(
    unit: Annotated[
        str, typer.Option("--unit", metavar="ID", help="The machine, for example L-12.")
    ],
    operator: Annotated[
        str, typer.Option("--operator", metavar="ID", help="Who walks.")
    ] = "",
    checklist: Annotated[
        str, typer.Option("--checklist", metavar="NAME", help="Which walk.")
    ] = "wheel-loader",
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    full: Annotated[
        bool,
        typer.Option("--full/--brief", help="Prompts for learners, or short ones."),
    ] = False,
    resume: Annotated[
        bool, typer.Option("--resume", help="Take up the unit's unfinished walk.")
    ] = False,
    new: Annotated[
        bool,
        typer.Option("--new", help="Begin anew though a walk was left unfinished."),
    ] = False,
    input_: Annotated[
        str | None,
        typer.Option(
            "--input", metavar="DEV", help="Microphone: number or part of its name."
        ),
    ] = None,
    output: Annotated[
        str | None,
        typer.Option(
            "--output", metavar="DEV", help="Loudspeaker: number or part of its name."
        ),
    ] = None,
    events: Annotated[
        str | None,
        typer.Option(
            "--events",
            metavar="FILE|-",
            help="Write one JSON object a line as things happen; - is stdout.",
        ),
    ] = None,
    confirm: Annotated[
        str,
        typer.Option(
            "--confirm", help="What is read back for a yes: findings, always."
        ),
    ] = "findings",
    barge_in: Annotated[
        BargeInMode,
        typer.Option(
            "--barge-in",
            help="Answer while a question is still being said: headset, or off. "
            "Cautions and read-backs are always said to their end.",
        ),
    ] = BargeInMode.OFF,
    engine: Annotated[
        Engine | None, typer.Option("--engine", help="Recogniser to use.")
    ] = None,
    released_by: Annotated[
        str,
        typer.Option(
            "--released-by",
            metavar="ID",
            help="The competent person who releases a machine out of service; they "
            "are asked aloud, twice; in Korean they type. Without it the name is "
            "typed.",
        ),
    ] = "",
    no_learn: Annotated[
        bool,
        typer.Option("--no-learn", help="Learn no voice from this walk."),
    ] = False,
    site_rules: SiteRules = None,
) -> None:
    """Walk round a machine with a headset, hands free.

    Say help at any time. What is confirmed is kept at once: after a break, or
    after the computer died, --resume goes on where you were. The exit status is
    0 when the walk is signed and the machine may work, 1 when it may not or the
    walk was not finished.

    Example: voicecheck walk --unit L-12 --operator kim --input headset
    """
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.cli.voices import hearing  # noqa: PLC0415
    from voicecheck.cli.wiring import check_barge_in, confirms_always  # noqa: PLC0415
    from voicecheck.dialogue.settings import settings_for  # noqa: PLC0415

    always = confirms_always(confirm)
    check_barge_in(barge_in)
    loaded = load(checklist, lang, site_rules)
    found = hearing(lang, engine, operator, _aside, learn=not no_learn, hint=True)
    settings = settings_for(found.recogniser, confirm_always=always, full=full)
    status = _Sitting(loaded, lang, unit, operator, resume, new, released_by).run(
        found, settings, input_, output, events, barge_in
    )
    raise typer.Exit(status)


def _aside(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


class _Sitting:
    """One run of the program on one walk."""

    def __init__(
        self,
        checklist: Checklist,
        language: str,
        unit: str,
        operator: str,
        resume: bool,
        new: bool,
        released_by: str,
    ) -> None:
        self._checklist = checklist
        self._language = language
        self._unit = unit
        self._operator = operator
        self._resume = resume
        self._new = new
        self._released_by = released_by

    def run(
        self,
        found: Hearing,
        settings: Any,
        input_: str | None,
        output: str | None,
        events: str | None,
        barge_in: BargeInMode,
    ) -> int:
        """Walk; return the exit status."""
        from voicecheck.audio.device import DeviceLink  # noqa: PLC0415
        from voicecheck.cli import wiring  # noqa: PLC0415
        from voicecheck.cli.event_stream import STDOUT, event_stream  # noqa: PLC0415
        from voicecheck.cli.progress import WalkDisplay  # noqa: PLC0415
        from voicecheck.store.journal import open_journal  # noqa: PLC0415

        human = sys.stderr if events == STDOUT else sys.stdout
        display = WalkDisplay(self._checklist, human, prompts=True)
        with (
            DeviceLink(input_device=input_, output_device=output) as link,
            wiring.synthesiser() as synthesiser,
            open_journal() as journal,
            event_stream(events, link.clock) as write,
        ):
            for notice in link.notices:
                print(notice, file=human)
            if not self._released(wiring.shaped(link), synthesiser, found, human):
                return 1
            session = self._session(journal, link.clock)
            display.already(session.walk.answers)

            def watch(kind: str, data: Mapping[str, Any]) -> None:
                write(kind, data)
                display.watch(kind, data)

            played, spoken = wiring.louder(link), wiring.paced(synthesiser)
            shaped = wiring.shaped(played)

            def adapt(too_loud: bool) -> None:
                played.loud = spoken.slow = too_loud

            wiring.runner(
                session,
                self._checklist,
                self._language,
                settings,
                shaped,
                found.recogniser,
                spoken,
                found.watched(watch, shaped, synthesiser),
                noise=wiring.noise_watch(link.input_device.name),
                adapt=adapt,
                barge_in=barge_in is BargeInMode.HEADSET,
            ).run()
            status = self._finish(session, watch, human)
        found.learn(lambda text: print(text, file=human))
        return status

    def _released(
        self, link: SoundLink, speaker: Synthesiser, found: Hearing, human: Any
    ) -> bool:
        """Read out the tag of a machine out of service; ask only for its release."""
        from voicecheck.cli import hold_release, wiring  # noqa: PLC0415

        def tell(line: str) -> None:
            print(line, file=human, flush=True)

        def say(line: str) -> None:
            tell(line)
            link.play(speaker.speak(line, self._language))

        ask, by = hold_release.keyboard(), self._released_by
        releases = hold_release.typed(ask, by=by)
        if self._language in hold_release.SPOKEN:
            said_yes = wiring.spoken_yes(
                link, found.recogniser, speaker, self._language, tell
            )
            releases = hold_release.spoken(said_yes, ask, by=by)
        return hold_release.may_begin(
            self._unit, say=say, releases=releases, language=self._language
        )

    def _session(self, journal: Journal, clock: Clock) -> WalkSession:
        from voicecheck.cli.walk_choice import goes_on  # noqa: PLC0415
        from voicecheck.store.session import WalkSession  # noqa: PLC0415

        ask = typer.confirm if sys.stdin.isatty() else None
        if goes_on(journal, self._unit, resume=self._resume, new=self._new, ask=ask):
            return WalkSession.resume(
                journal,
                clock,
                self._checklist,
                unit=self._unit,
                operator=self._operator,
                language=self._language,
            )
        return WalkSession.start(
            journal,
            clock,
            self._checklist,
            unit=self._unit,
            operator=self._operator,
            language=self._language,
        )

    def _finish(self, session: WalkSession, watch: Watch, human: Any) -> int:
        from voicecheck.cli.outcome import print_outcome  # noqa: PLC0415
        from voicecheck.cli.status import walk_status  # noqa: PLC0415
        from voicecheck.cli.wiring import write_page  # noqa: PLC0415
        from voicecheck.dialogue.wording import Wording  # noqa: PLC0415

        record = session.finish()
        page = write_page(record.path)
        watch("finished", {"record_id": record.record_id, "path": str(record.path)})

        def say(text: str) -> None:
            print(text, file=human)

        print_outcome(session.walk, Wording(self._checklist, self._language), say)
        say(f"Record {record.record_id}: {record.path}\n  {page}")
        return walk_status(session.walk)
