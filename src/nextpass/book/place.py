"""Where a book is: a folder with an SQLite file, or a PostgreSQL database with a folder for the logs."""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from nextpass.errors import BookError, Where
from nextpass.words import phrase

DATABASE_NAME = "book.sqlite"
LOGS_WORD = "logs"
# How long a writer waits for another one before it says so.
BUSY_SECONDS = 30
BEGIN_OPTION = "nextpass_begin"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A book's database and the folder of its log files; `shown` names it without a password."""

    url: URL
    folder: Path
    shown: str

    @property
    def is_file(self) -> bool:
        """Whether the database is a file in the folder."""
        return self.url.get_backend_name() == "sqlite"


def place_of(words: Path | str) -> Place:
    """The place that a person names.

    Parameters
    ----------
    words : Path or str
        A folder, or ``postgresql://user@host/name?logs=/folder/for/logs``.

    Raises
    ------
    BookError
        A database URL that is not one, without a folder for the logs, or not of PostgreSQL.
    """
    if isinstance(words, Path) or "://" not in words:
        folder = Path(words)
        return Place(url=URL.create("sqlite", database=str(folder / DATABASE_NAME)), folder=folder, shown=str(folder))
    try:
        url = make_url(words)
    except ArgumentError as error:
        raise BookError(phrase("refusal.book.no_url"), Where(file=words), _remedy()) from error
    shown = url.difference_update_query([LOGS_WORD]).render_as_string(hide_password=True)
    if url.get_backend_name() != "postgresql":
        raise BookError(phrase("refusal.book.not_postgres"), Where(file=shown), _remedy())
    folder_name = url.query.get(LOGS_WORD)
    if not isinstance(folder_name, str) or not folder_name:
        raise BookError(phrase("refusal.book.no_log_folder"), Where(file=shown), _remedy())
    url = url.set(drivername="postgresql+psycopg").difference_update_query([LOGS_WORD])
    return Place(url=url, folder=Path(folder_name), shown=shown)


def engine_at(place: Place, *, keeps_keys: bool = True) -> Engine:
    """A way to the database of a place.

    Parameters
    ----------
    place : Place
    keeps_keys : bool
        Whether rows that others point to are guarded; a step of the schema that makes a table anew must not be.

    Raises
    ------
    BookError
        The library for the database is not installed.
    """
    if not place.is_file:
        options = f"-c lock_timeout={BUSY_SECONDS}s -c timezone=UTC"
        try:
            return create_engine(place.url, connect_args={"options": options, "connect_timeout": 10})
        except (ModuleNotFoundError, NoSuchModuleError) as error:
            raise BookError(
                phrase("refusal.book.no_postgres_library"),
                Where(file=place.shown),
                phrase("refusal.common.install", extra="postgres"),
            ) from error
    engine = create_engine(place.url, connect_args={"timeout": BUSY_SECONDS})

    def prepare(connection: sqlite3.Connection, _record: object) -> None:
        # The driver must not begin transactions of its own: it leaves table changes outside of them.
        connection.isolation_level = None
        for pragma in ("journal_mode=WAL", "synchronous=FULL", f"foreign_keys={'ON' if keeps_keys else 'OFF'}"):
            connection.execute(f"PRAGMA {pragma}")

    event.listen(engine, "connect", prepare)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _begin_sqlite(connection: Connection) -> None:
    # A transaction that will write takes its place in the line at once: one that reads first and writes later can
    # find the book changed under it, and waiting does not help then.
    connection.exec_driver_sql(connection.get_execution_options().get(BEGIN_OPTION, "BEGIN"))


def _remedy() -> str:
    return phrase("refusal.book.place_forms")
