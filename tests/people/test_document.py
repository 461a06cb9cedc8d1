"""The document that a person takes away, and its schema."""

from __future__ import annotations

import json

from voicecheck.people.document import SCHEMA, schema_text


def test_the_published_schema_is_that_of_the_model() -> None:
    """`python -m voicecheck.people.document` writes it anew."""
    assert SCHEMA.read_text("utf-8") == schema_text()
    assert json.loads(schema_text())["additionalProperties"] is False
