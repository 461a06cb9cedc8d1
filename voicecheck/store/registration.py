"""What happens with a finished record, in one transaction: kept, and followed up."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Connection, insert, update

from voicecheck.store import defect_rows, rows
from voicecheck.store.findings import ANONYMOUS, findings_of
from voicecheck.store.ports import RecordRow, WalkRow
from voicecheck.store.tables import record_texts, records, units


def register(
    connection: Connection, walk: WalkRow, record: RecordRow, document: str
) -> None:
    """Keep a record with its text, follow up its findings and its hour meter."""
    connection.execute(insert(records).values(**rows.record_values(record)))
    if not document:
        return
    connection.execute(
        insert(record_texts).values(record_id=record.record_id, text=document)
    )
    data = json.loads(document)
    defect_rows.opened_or_joined(
        connection,
        walk.unit,
        findings_of(data),
        at_utc=walk.last_utc,
        by=walk.operator or ANONYMOUS,
    )
    keep_hour_meter(connection, walk, data)


def know_unit(connection: Connection, unit: str, checklist: str) -> None:
    """Put a unit on the fleet list if it is not there yet."""
    row = {"unit": unit, "checklist": checklist, "title": "", "place": ""}
    rows.insert_missing(connection, units, [row])


def keep_hour_meter(
    connection: Connection, walk: WalkRow, document: dict[str, Any]
) -> None:
    """Remember the newest reading of the hour meter with the unit."""
    reading = document["content"]["hour_meter"]
    if reading is None or reading["unit"] != "h":
        return
    older = units.c.hour_meter_utc.is_(None) | (
        units.c.hour_meter_utc < walk.started_utc
    )
    connection.execute(
        update(units)
        .where(units.c.unit == walk.unit, older)
        .values(hour_meter_h=reading["value"], hour_meter_utc=walk.started_utc)
    )
