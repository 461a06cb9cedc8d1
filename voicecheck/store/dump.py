"""A whole store as lines of JSON, and back.

    {"format": "voicecheck-store/1", "tables": ["checklists", …]}
    {"table": "walks", "row": {"walk_id": …}}
    …
    {"end": {"rows": 412, "sha256": …}}    over all bytes before this line

Rows stand in the order of their keys, so the same store always gives the same
bytes. The schema of a line is `store.schema.json` beside this module;
`python -m voicecheck.store.dump` writes it anew. What is read goes into a store
of its own first and is then brought over like a push, so that chains are
verified and nothing that is there already is doubled.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import Boolean, Connection, Float, Integer, Table, insert, select
from sqlalchemy.exc import SQLAlchemyError

from voicecheck.errors import UsageError
from voicecheck.store import rows, tables
from voicecheck.store.database import Database
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.fleet import SqlFleet
from voicecheck.store.transfer import Transfer, transfer

FORMAT = "voicecheck-store/1"
TABLES: tuple[Table, ...] = (
    tables.checklists,
    tables.units,
    tables.walks,
    tables.entries,
    tables.records,
    tables.record_texts,
    tables.defects,
    tables.defect_events,
    tables.purged,
)
"""In the order in which rows can be put back."""
SCHEMA_NAME = "store.schema.json"
_BY_NAME = {table.name: table for table in TABLES}


def export_lines(store: Database) -> Iterator[bytes]:
    """Yield a store as lines, each with its end, as of one moment."""
    digest = hashlib.sha256()
    count = 0
    head = {"format": FORMAT, "tables": [table.name for table in TABLES]}
    line = _line(head)
    digest.update(line)
    yield line
    with store.reading() as connection:
        for table in TABLES:
            for row in _rows(connection, table):
                line = _line({"table": table.name, "row": row})
                digest.update(line)
                count += 1
                yield line
    yield _line({"end": {"rows": count, "sha256": digest.hexdigest()}})


def import_lines(
    lines: Iterable[bytes],
    store: SqlFleet,
    *,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Transfer:
    """Bring lines that `export_lines` wrote into a store.

    Args:
        lines: the file, line by line.
        store: where they go; what it has is kept, nothing is doubled.
        progress: told how many walks and defects are done, of how many.

    Raises:
        UsageError: the file is none, was cut or altered; nothing was written.
        JournalError: the store cannot be written.
    """
    with (
        tempfile.TemporaryDirectory() as folder,
        Database.open(Path(folder) / "import.sqlite3") as aside,
    ):
        with aside.writing() as connection:
            _put_back(connection, lines)
        far = DatabaseFarEnd(store)
        result = transfer(aside, far, folder=Path(folder), progress=progress)
        with aside.reading() as connection:
            gone = [dict(row._mapping) for row in connection.execute(select(_PURGED))]
        with store.writing() as connection:
            rows.insert_missing(connection, _PURGED, gone)
    return result


_PURGED = tables.purged


def line_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of one line."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:voicecheck:{SCHEMA_NAME}",
        "title": "One line of a voicecheck store export",
        "oneOf": [
            _closed({"format": {"const": FORMAT}, "tables": _names()}),
            *(
                _closed({"table": {"const": table.name}, "row": _row_schema(table)})
                for table in TABLES
            ),
            _closed(
                {
                    "end": _closed(
                        {
                            "rows": {"type": "integer", "minimum": 0},
                            "sha256": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
                        }
                    )
                }
            ),
        ],
    }


def schema_text() -> str:
    """Return the text of the published schema."""
    return json.dumps(line_schema(), indent=2) + "\n"


def _names() -> dict[str, Any]:
    return {"type": "array", "items": {"enum": [table.name for table in TABLES]}}


def _row_schema(table: Table) -> dict[str, Any]:
    return _closed({column.name: _type(column) for column in table.columns})


def _type(column: Any) -> dict[str, Any]:
    kinds = {Boolean: "boolean", Integer: "integer", Float: "number"}
    kind = next(
        (name for cls, name in kinds.items() if isinstance(column.type, cls)), "string"
    )
    return {"type": [kind, "null"] if column.nullable else kind}


def _closed(properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _rows(connection: Connection, table: Table) -> Iterator[dict[str, Any]]:
    query = select(table).order_by(*table.primary_key.columns)
    found = connection.execution_options(yield_per=1000).execute(query)
    for row in found:
        yield dict(row._mapping)


def _line(data: dict[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=False, allow_nan=False).encode() + b"\n"


def _put_back(connection: Connection, lines: Iterable[bytes]) -> None:
    digest = hashlib.sha256()
    count, ended = 0, False
    number = 0
    for number, line in enumerate(lines, start=1):
        data = _read(line, number)
        if ended:
            raise _broken(number, "there is something after the end")
        if number == 1:
            if data.get("format") != FORMAT:
                raise _broken(1, f"it does not begin with the format {FORMAT}")
        elif "end" in data:
            ended = data["end"] == {"rows": count, "sha256": digest.hexdigest()}
            if not ended:
                raise _broken(number, "lines are missing or were altered")
        else:
            _insert(connection, data, number)
            count += 1
        digest.update(line)
    if not ended:
        raise _broken(number, "it ends too early: it was cut")


def _read(line: bytes, number: int) -> dict[str, Any]:
    try:
        data = json.loads(line)
    except ValueError as error:
        raise _broken(number, "it is not JSON") from error
    if not isinstance(data, dict):
        raise _broken(number, "it is no object")
    return data


def _insert(connection: Connection, data: dict[str, Any], number: int) -> None:
    table = _BY_NAME.get(str(data.get("table")))
    row = data.get("row")
    if table is None or not isinstance(row, dict) or set(data) != {"table", "row"}:
        raise _broken(number, "it is no row of a table that is known")
    if set(row) != {column.name for column in table.columns}:
        raise _broken(number, f"it has other columns than {table.name}")
    try:
        connection.execute(insert(table).values(**row))
    except SQLAlchemyError as error:
        raise _broken(number, f"it does not fit into {table.name}") from error


def _broken(number: int, why: str) -> UsageError:
    return UsageError(
        f"line {number} of the export cannot be used: {why}; export it again. "
        "Nothing was imported"
    )


if __name__ == "__main__":
    Path(__file__).with_name(SCHEMA_NAME).write_text(schema_text(), encoding="utf-8")
