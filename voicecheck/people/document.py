"""All that is kept of one person, as a document that they can take away.

The schema is `person.schema.json` beside this module.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

from voicecheck.people.events import PersonalEvent
from voicecheck.people.roles import Person, Role
from voicecheck.people.rows import Look

SCHEMA = Path(__file__).with_name("person.schema.json")


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class PersonPart(_Strict):
    """Who it is."""

    id: str
    roles: list[Role]
    registered_utc: str
    registered_by: str


class EventPart(_Strict):
    """One thing that was kept of the person."""

    key: UUID
    kind: str = Field(description="Room, thing and version of the body.")
    at_utc: str
    by: str = Field(description="Who wrote it.")
    thread: str = Field(description="Id of what belongs together, or empty.")
    body: dict[str, Any]


class LookPart(_Strict):
    """Somebody has looked at the results, or tried to."""

    reader: str
    what: str
    at_utc: str
    allowed: bool = Field(description="False: nothing was shown.")


class PersonDocument(_Strict):
    """All that voicecheck keeps of one person in the place of personal results."""

    format: Literal["voicecheck/person/1"] = "voicecheck/person/1"
    exported_utc: str
    person: PersonPart
    events: list[EventPart] = Field(description="In the order of keeping.")
    looks: list[LookPart] = Field(description="The oldest first.")


def person_document(
    person: Person,
    events: Sequence[PersonalEvent],
    looks: Sequence[Look],
    exported_utc: str,
) -> dict[str, Any]:
    """Return the document as JSON data."""
    document = PersonDocument(
        exported_utc=exported_utc,
        person=PersonPart(
            id=person.id,
            roles=sorted(person.roles),
            registered_utc=person.registered_utc,
            registered_by=person.registered_by,
        ),
        events=[
            EventPart(
                key=one.key,
                kind=one.kind,
                at_utc=one.at_utc,
                by=one.by,
                thread=one.thread,
                body=one.body,
            )
            for one in events
        ],
        looks=[
            LookPart(
                reader=one.reader, what=one.what, at_utc=one.at_utc, allowed=one.allowed
            )
            for one in looks
        ],
    )
    return document.model_dump(mode="json")


def schema_text() -> str:
    """Return the text of the published schema, made from the model.

    `python -m voicecheck.people.document` writes it anew; a test holds the file
    against the model.
    """
    schema = PersonDocument.model_json_schema(mode="validation")
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["$id"] = "urn:voicecheck:person:1"
    return json.dumps(schema, indent=2, ensure_ascii=False, sort_keys=True) + "\n"


if __name__ == "__main__":
    SCHEMA.write_text(schema_text(), encoding="utf-8")
