"""Keep results one after the other, and say of each that it is kept.

    writing_child.py FILE

Run by `test_kill`, which kills it at some moment.
"""

from __future__ import annotations

import sys
from uuid import UUID

from voicecheck.people.events import PersonalEvent
from voicecheck.people.store import PeopleStore


def event(at: int) -> PersonalEvent:
    """Return the nth result."""
    return PersonalEvent(
        key=UUID(int=at + 1),
        subject="J.Doe",
        kind="learn/review/1",
        at_utc="2026-01-05T06:00:00.000Z",
        by="J.Doe",
        body={"at": at},
    )


if __name__ == "__main__":
    with PeopleStore(sys.argv[1]) as store:
        for number in range(10_000):
            store.append(event(number))
            print(number, flush=True)
