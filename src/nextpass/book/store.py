"""Opening a book: one folder with an SQLite file, or a PostgreSQL database with a folder for the logs.

SQLite runs with a write-ahead log, so that readers never wait for a writer. The schema is brought up to date when the
book is opened; a book from a newer program is refused, never touched.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.orm import Session

from nextpass.errors import BookError, Where

DATABASE_NAME = "book.sqlite"
# How long a writer waits for another one before it says so.
BUSY_SECONDS = 30.0
BEGIN_OPTION = "nextpass_begin"


class Book:
    """The records of every car and pass; open it with `open_book`.

    Parameters
    ----------
    engine : Engine
        Connected and at the newest schema.
    folder : Path
        Where the log files lie.
    """

    def __init__(self, engine: Engine, folder: Path) -> None:
        self._engine = engine
        self.folder = folder

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """One transaction: all of it is kept when the block ends, none of it when the block raises."""
        with self._transaction(self._engine.execution_options(**{BEGIN_OPTION: "BEGIN IMMEDIATE"})) as session:
            yield session

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """One view of the book that no writer disturbs and that waits for none."""
        with self._transaction(self._engine) as session:
            yield session

    @contextmanager
    def _transaction(self, engine: Engine) -> Iterator[Session]:
        try:
            with Session(engine) as session, session.begin():
                yield session
        except DBAPIError as error:
            raise _translated(error, self.folder) from error

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()


def open_book(place: Path | str, folder: Path | None = None) -> Book:
    """Open a book, making it where there is none and bringing its schema up to date.

    Parameters
    ----------
    place : Path or str
        A folder, or a database URL such as ``postgresql+psycopg://user@host/name``.
    folder : Path, optional
        Where the log files lie when `place` is a URL.

    Raises
    ------
    BookError
        The folder cannot be written, the book is locked or damaged, or a newer program made it.
    """
    if "://" in str(place):
        if folder is None:
            raise BookError(
                "a database URL needs a folder for the log files", Where(file=str(place)), "name one with --logs"
            )
        engine = create_engine(str(place))
    else:
        folder = Path(place)
        engine = create_engine(f"sqlite:///{folder / DATABASE_NAME}", connect_args={"timeout": BUSY_SECONDS})
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _bring_up_to_date(engine, folder)
    except OSError as error:
        raise BookError(
            f"the folder cannot be written ({error.strerror})", Where(file=folder), "choose a folder you may write to"
        ) from error
    except DBAPIError as error:
        raise _translated(error, folder) from error
    return Book(engine, folder)


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # The driver must not begin transactions of its own: it leaves table changes outside of them.
    connection.isolation_level = None
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    # A transaction that will write takes its place in the line at once: one that reads first and writes later can
    # find the book changed under it, and waiting does not help then.
    connection.exec_driver_sql(connection.get_execution_options().get(BEGIN_OPTION, "BEGIN"))


def _bring_up_to_date(engine: Engine, folder: Path) -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    scripts = ScriptDirectory.from_config(config)
    with engine.execution_options(**{BEGIN_OPTION: "BEGIN IMMEDIATE"}).connect() as connection:
        current = MigrationContext.configure(connection).get_current_revision()
        if current == scripts.get_current_head():
            return
        if current is not None and current not in {step.revision for step in scripts.walk_revisions()}:
            raise BookError("a newer nextpass made this book", Where(file=folder), "update nextpass")
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        connection.commit()


def _translated(error: DBAPIError, folder: Path) -> BookError:
    reason = str(error.orig)
    if isinstance(error, OperationalError) and "locked" in reason:
        return BookError("another program is writing to the book", Where(file=folder), "try again in a moment")
    if "full" in reason:
        return BookError("the disk is full", Where(file=folder), "make room; nothing of the book was lost")
    if "readonly" in reason or "unable to open" in reason:
        return BookError("the book cannot be written", Where(file=folder), "check the rights of the folder")
    return BookError(f"the database refuses: {reason}", Where(file=folder), "keep a copy of the folder, then report it")
