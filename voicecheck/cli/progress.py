"""Show a walk as it goes: zone, checkpoint, what was said and what was heard."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from typing import Any, TextIO

from voicecheck.round.checklist import Checklist


class WalkDisplay:
    """Print a line for everything that a person wants to follow.

    Args:
        checklist: of the walk.
        stream: where to print.
        prompts: also show what the program says.
    """

    def __init__(
        self, checklist: Checklist, stream: TextIO | None = None, *, prompts: bool
    ) -> None:
        self._titles = {p.id: p.prompt for p in checklist.checkpoints}
        self._total = len(self._titles)
        self._done: set[str] = set()
        self._stream = stream or sys.stdout
        self._prompts = prompts
        self._heard: list[str] = []
        self.said: list[str] = []

    def already(self, answered: Iterable[str]) -> None:
        """Count the points that were answered in an earlier sitting."""
        self._done.update(answered)

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take in one happening."""
        show = getattr(self, f"_on_{kind}", None)
        if show is not None:
            show(data)

    def _line(self, text: str) -> None:
        print(text, file=self._stream, flush=True)

    def _on_zone(self, data: Mapping[str, Any]) -> None:
        self._line(f"\n-- {data['title']} --")

    def _on_climb(self, data: Mapping[str, Any]) -> None:
        self._line("   (climb: three points of contact)")

    def _on_prompt(self, data: Mapping[str, Any]) -> None:
        if self._prompts:
            self._line(f"   says: {data['text']}")

    def _on_readback(self, data: Mapping[str, Any]) -> None:
        if self._prompts:
            self._line(f"   reads back: {data['text']}")

    def _on_heard(self, data: Mapping[str, Any]) -> None:
        phrase = data["phrase"] or "nothing it knows"
        text = f"{phrase} ({data['confidence']:.2f}, {data['outcome']})"
        self._heard.append(text)
        if self._prompts:
            self._line(f"   hears: {text}")

    def _on_noinput(self, data: Mapping[str, Any]) -> None:
        self._heard.append("nobody")

    def _on_answer(self, data: Mapping[str, Any]) -> None:
        checkpoint = data["checkpoint"]
        self._done.add(checkpoint)
        value = ", ".join(str(v) for v in data["value"].values())
        flag = "  (faster than a person can look)" if data.get("too_fast") else ""
        count = f"{len(self._done):>3}/{self._total}"
        title = self._titles[checkpoint]
        self._line(f"{count}  {title:<36} {value}  [{data['confirmed']}]{flag}")
        said = f"said: {' · '.join(self.said)}   " if self.said else ""
        if not self._prompts:
            self._line(f"         {said}heard: {' · '.join(self._heard)}")
        self._heard.clear()
        self.said.clear()

    def _on_withdrawn(self, data: Mapping[str, Any]) -> None:
        self._done.discard(data["checkpoint"])
        self._line(f"     taken back: {self._titles[data['checkpoint']]}")

    def _on_skipped(self, data: Mapping[str, Any]) -> None:
        self._line(f"     skipped: {self._titles[data['checkpoint']]}")

    def _on_paused(self, data: Mapping[str, Any]) -> None:
        self._line(f"     paused ({data['cause']})")

    def _on_resumed(self, _: Mapping[str, Any]) -> None:
        self._line("     carrying on")

    def _on_voice_mismatch(self, data: Mapping[str, Any]) -> None:
        self._line(f"     {data['text']}")

    def _on_device_lost(self, data: Mapping[str, Any]) -> None:
        self._line(f"     SOUND LOST: {data['reason']} - the walk waits")

    def _on_device_back(self, _: Mapping[str, Any]) -> None:
        self._line("     sound is back")
