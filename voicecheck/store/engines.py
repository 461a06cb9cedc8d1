"""From the address of a store to an engine: an SQLite file, or PostgreSQL by URL."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Engine, create_engine, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from voicecheck import settings
from voicecheck.errors import JournalError, UsageError
from voicecheck.store.sqlite_engine import JOURNAL_PRAGMAS, WRITES, sqlite_engine

FILE_NAME = "journal.sqlite3"
_CONNECT_TIMEOUT_S = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedEngine:
    """An engine, and how to name its place to a person (without a password)."""

    engine: Engine
    place: str


def default_path() -> Path:
    """Return where the journal of this computer lies."""
    return settings.home() / FILE_NAME


def open_engine(
    where: Path | str | None = None,
    *,
    busy_timeout_s: float = 5.0,
    pragmas: tuple[str, ...] = JOURNAL_PRAGMAS,
) -> OpenedEngine:
    """Return the engine of a store; nothing is read yet.

    Args:
        where: path of an SQLite file, or a URL such as
            postgresql://user@host/name or sqlite:///file; None: the one of
            VOICECHECK_STORE_URL, or else `default_path()`.
        busy_timeout_s: how long to wait for another program that is writing.
        pragmas: what a connection to SQLite begins with.

    Raises:
        UsageError: the URL is none, or of a database that is not supported.
        JournalError: the folder of the file cannot be made.
    """
    if where is None:
        where = settings.store_url() or default_path()
    if isinstance(where, Path) or "://" not in where:
        return _sqlite(Path(where), busy_timeout_s, pragmas)
    try:
        url = make_url(where)
    except ArgumentError as error:
        raise _no_url(where) from error
    if url.get_backend_name() == "sqlite" and url.database:
        return _sqlite(Path(url.database), busy_timeout_s, pragmas)
    if url.get_backend_name() == "postgresql" and url.database:
        return _postgres(url)
    raise _no_url(url.render_as_string(hide_password=True))


def writing_engine(engine: Engine) -> Engine:
    """Return the engine for transactions that write.

    SQLite takes the write lock at once. In PostgreSQL a writer sees the newest
    rows and locks those that it builds on.
    """
    if engine.dialect.name == "sqlite":
        return engine.execution_options(**{WRITES: True})
    return engine.execution_options(isolation_level="READ COMMITTED")


def _sqlite(
    path: Path, busy_timeout_s: float, pragmas: tuple[str, ...]
) -> OpenedEngine:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise JournalError(
            f"the folder {path.parent} cannot be made: {error}"
        ) from error
    engine = sqlite_engine(path, busy_timeout_s=busy_timeout_s, pragmas=pragmas)
    return OpenedEngine(engine=engine, place=str(path))


def _postgres(url: URL) -> OpenedEngine:
    url = url.set(drivername="postgresql+psycopg")
    try:
        engine = create_engine(
            url,
            connect_args={"connect_timeout": _CONNECT_TIMEOUT_S},
            pool_pre_ping=True,
            # A reader of several tables must see them as of one moment.
            isolation_level="REPEATABLE READ",
        )
    except (ModuleNotFoundError, NoSuchModuleError) as error:
        raise UsageError(
            "PostgreSQL needs the extra postgres: pip install 'voicecheck[postgres]'"
        ) from error
    return OpenedEngine(engine=engine, place=url.render_as_string(hide_password=True))


def _no_url(shown: str) -> UsageError:
    return UsageError(
        f"{shown!r} is no address of a store: give a file, or a URL like "
        "postgresql://user@host/voicecheck"
    )
