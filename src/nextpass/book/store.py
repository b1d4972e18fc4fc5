"""Opening a book, and its transactions.

SQLite runs with a write-ahead log, so that readers never wait for a writer. One program writes at a time, on either
database: the others wait in line. The schema is brought up to date when the book is opened; a book from a newer program
is refused, never touched.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from nextpass.book.files import sweep
from nextpass.book.place import BEGIN_OPTION, DATABASE_NAME, Place, engine_at, place_of
from nextpass.book.refusal import translated
from nextpass.errors import BookError, Where
from nextpass.words import phrase

# The line of writers in a PostgreSQL database: any number, the same for all.
_WRITERS_LINE = 7_062_026


class Book:
    """The records of every car and pass; open it with `open_book`.

    Parameters
    ----------
    engine : Engine
        Connected and at the newest schema.
    place : Place
        Where it is.
    """

    def __init__(self, engine: Engine, place: Place) -> None:
        self._engine = engine
        self.place = place

    @property
    def folder(self) -> Path:
        """Where the log files lie."""
        return self.place.folder

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """One transaction: all of it is kept when the block ends, none of it when the block raises."""
        engine = self._engine.execution_options(**{BEGIN_OPTION: "BEGIN IMMEDIATE"})
        with _refusing(self.place), Session(engine) as session, session.begin():
            _take_line(session.connection(), self.place)
            yield session

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """One view of the book that no writer disturbs and that waits for none."""
        engine = self._engine
        if not self.place.is_file:
            engine = engine.execution_options(isolation_level="REPEATABLE READ")
        with _refusing(self.place), Session(engine) as session, session.begin():
            yield session

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()


def open_book(words: Path | str, *, is_kept: bool = False) -> Book:
    """Open a book, making it where there is none and bringing its schema up to date.

    Parameters
    ----------
    words : Path or str
        A folder, or a database URL such as ``postgresql://user@host/name?logs=/folder/for/logs``.
    is_kept : bool
        Whether there must be a book already: who only asks something of it gets none made for a mistyped name.

    Raises
    ------
    BookError
        The folder cannot be written, the book is locked or damaged, or a newer program made it; or there is none.
    """
    place = place_of(words)
    _refuse_no_book(place, is_kept=is_kept)
    try:
        place.folder.mkdir(parents=True, exist_ok=True)
        if not os.access(place.folder, os.W_OK):
            raise BookError(
                phrase("refusal.book.unwritable"), Where(file=place.folder), phrase("refusal.book.check_rights")
            )
        sweep(place.folder)
    except OSError as error:
        raise BookError(
            phrase("refusal.book.folder_unwritable", why=error.strerror),
            Where(file=place.folder),
            phrase("refusal.book.choose_folder"),
        ) from error
    engine = engine_at(place)
    try:
        with _refusing(place):
            _bring_up_to_date(engine, place)
    except BaseException:
        engine.dispose()
        raise
    return Book(engine, place)


def _refuse_no_book(place: Place, *, is_kept: bool) -> None:
    where = Where(file=place.folder)
    if place.folder.exists() and not place.folder.is_dir():
        raise BookError(phrase("refusal.book.no_folder"), where, phrase("refusal.book.give_folder"))
    if is_kept and place.is_file and not (place.folder / DATABASE_NAME).exists():
        raise BookError(phrase("refusal.book.no_book"), where, phrase("refusal.book.give_book"))


@contextmanager
def _refusing(place: Place) -> Iterator[None]:
    try:
        yield
    except DBAPIError as error:
        raise translated(error, place) from error


def _take_line(connection: Connection, place: Place) -> None:
    if not place.is_file:
        connection.execute(text("select pg_advisory_xact_lock(:line)"), {"line": _WRITERS_LINE})


def _bring_up_to_date(engine: Engine, place: Place) -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    scripts = ScriptDirectory.from_config(config)
    head = scripts.get_current_head()
    with engine.connect() as connection:
        current = _revision(connection)
    if current == head:
        return
    if current is not None and current not in {step.revision for step in scripts.walk_revisions()}:
        raise BookError(phrase("refusal.book.newer"), Where(file=place.shown), phrase("refusal.common.update"))
    # A step may make a table anew; the guard of its rows would then empty the tables that point to it.
    stepping = engine_at(place, keeps_keys=False)
    try:
        with stepping.execution_options(**{BEGIN_OPTION: "BEGIN IMMEDIATE"}).connect() as connection:
            _take_line(connection, place)
            # Another program may have been faster.
            if _revision(connection) != head:
                config.attributes["connection"] = connection
                config.attributes["folder"] = place.folder
                command.upgrade(config, "head")
            connection.commit()
    finally:
        stepping.dispose()


def _revision(connection: Connection) -> str | None:
    return MigrationContext.configure(connection).get_current_revision()
