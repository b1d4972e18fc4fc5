"""The tables of a book: cars and their files, passes and their logs, answers and what they are found by, entries.

Text that a person wrote (car files, pass files) is kept to the letter, so that an export gives it back unchanged; the
columns beside it exist to be searched. Times are UTC.
"""

from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import JSON, DateTime, Dialect, ForeignKey, Index, MetaData, String, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship
from sqlalchemy.types import TypeDecorator


def new_id() -> str:
    """A name for a row that no other book uses."""
    return uuid4().hex


def now() -> datetime:
    """The time at this moment."""
    return datetime.now(UTC)


class Moment(TypeDecorator[datetime]):
    """A point in time as UTC, also where the database knows no zones."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """To UTC; a time without a zone is taken as UTC."""
        del dialect
        return None if value is None else as_utc(value)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """With its zone."""
        del dialect
        return None if value is None else as_utc(value)


def as_utc(moment: datetime) -> datetime:
    """A time as UTC; one without a zone is taken as UTC."""
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


class Table(DeclarativeBase):
    """Common ground of the tables; constraint names are fixed so that migrations can name them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class CarRow(Table):
    """One car, by the owner's name for it."""

    __tablename__ = "car"

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=new_id)
    name: Mapped[str] = mapped_column(String(200), unique=True)
    created: Mapped[datetime] = mapped_column(Moment, default=now)
    files: Mapped[list["CarFileRow"]] = relationship(back_populates="car", order_by="CarFileRow.created")


class CarFileRow(Table):
    """One version of a car's file; the newest is in force."""

    __tablename__ = "car_file"
    __table_args__ = (UniqueConstraint("car_id", "sha256"),)

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=new_id)
    car_id: Mapped[str] = mapped_column(ForeignKey("car.id", ondelete="CASCADE"))
    text: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    created: Mapped[datetime] = mapped_column(Moment, default=now)
    car: Mapped[CarRow] = relationship(back_populates="files")


class PassRow(Table):
    """One pass: its file to the letter, and what it is found by.

    `ran` orders the passes of a car: when it was started, else when it was kept. `header` names the headers of its
    logs, under which answers to doubtful columns are kept; it is empty until the logs were read.
    """

    __tablename__ = "pass"
    __table_args__ = (
        UniqueConstraint("car_id", "logs_sha256"),
        Index(None, "car_id", "sequence"),
    )

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=new_id)
    car_id: Mapped[str] = mapped_column(ForeignKey("car.id", ondelete="CASCADE"))
    sequence: Mapped[int]
    number: Mapped[int | None]
    started: Mapped[str] = mapped_column(String(40))
    ran: Mapped[datetime] = mapped_column(Moment)
    fuel: Mapped[str] = mapped_column(String(100))
    strip: Mapped[str] = mapped_column(String(200))
    lane: Mapped[str] = mapped_column(String(200))
    notes: Mapped[str] = mapped_column(Text)
    toml: Mapped[str] = mapped_column(Text)
    content_sha256: Mapped[str] = mapped_column(String(64))
    logs_sha256: Mapped[str] = mapped_column(String(64))
    header: Mapped[str] = mapped_column(String(400), default="")
    created: Mapped[datetime] = mapped_column(Moment, default=now)
    logs: Mapped[list["PassLogRow"]] = relationship(
        back_populates="owner", order_by="PassLogRow.position", cascade="all, delete-orphan"
    )


class PassLogRow(Table):
    """One file of a pass; its bytes lie beside the database under their checksum.

    Logs come first, in the order of the pass file; then what lay beside them.
    """

    __tablename__ = "pass_log"

    pass_id: Mapped[str] = mapped_column(ForeignKey("pass.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    file_name: Mapped[str] = mapped_column(String(300))
    sha256: Mapped[str] = mapped_column(String(64))
    size: Mapped[int]
    is_log: Mapped[bool] = mapped_column(default=True)
    owner: Mapped[PassRow] = relationship(back_populates="logs")


class AnswerRow(Table):
    """An answer by the contract, with what made it.

    `program` and `car_file_id` are the versions; `said` is a checksum of what people said about the log's columns.
    """

    __tablename__ = "answer"
    __table_args__ = (UniqueConstraint("pass_id", "kind"),)

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=new_id)
    pass_id: Mapped[str] = mapped_column(ForeignKey("pass.id", ondelete="CASCADE"))
    kind: Mapped[str] = mapped_column(String(20))
    program: Mapped[str] = mapped_column(String(50))
    said: Mapped[str] = mapped_column(String(64), default="")
    car_file_id: Mapped[str] = mapped_column(ForeignKey("car_file.id", ondelete="CASCADE"))
    body: Mapped[dict[str, Any]] = mapped_column(JSON)
    created: Mapped[datetime] = mapped_column(Moment, default=now)


class PassValueRow(Table):
    """A figure or a word that a pass is found by: of its conditions, its setup, its timeslip."""

    __tablename__ = "pass_value"
    __table_args__ = (Index(None, "name", "number"),)

    pass_id: Mapped[str] = mapped_column(ForeignKey("pass.id", ondelete="CASCADE"), primary_key=True)
    name: Mapped[str] = mapped_column(String(100), primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    number: Mapped[float | None]
    word: Mapped[str | None] = mapped_column(String(200))


class PassFindingRow(Table):
    """A finding of the review of a pass, to be found by."""

    __tablename__ = "pass_finding"
    __table_args__ = (Index(None, "code"),)

    pass_id: Mapped[str] = mapped_column(ForeignKey("pass.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(String(60))
    severity: Mapped[str] = mapped_column(String(10))
    gear: Mapped[int | None]


class ColumnAnswerRow(Table):
    """What a person said that a column is, for every log with the same header."""

    __tablename__ = "column_answer"

    header: Mapped[str] = mapped_column(String(64), primary_key=True)
    column: Mapped[str] = mapped_column(String(300), primary_key=True)
    answer: Mapped[str] = mapped_column(String(200))


class EntryRow(Table):
    """What a person entered about a car: a trouble code, a learned value, a tyre pressure, a reset."""

    __tablename__ = "entry"
    __table_args__ = (Index(None, "car_id", "kind"),)

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=new_id)
    car_id: Mapped[str] = mapped_column(ForeignKey("car.id", ondelete="CASCADE"))
    pass_id: Mapped[str | None] = mapped_column(ForeignKey("pass.id", ondelete="SET NULL"))
    kind: Mapped[str] = mapped_column(String(40))
    subject: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime] = mapped_column(Moment)
    state: Mapped[str] = mapped_column(String(10))
    occasion: Mapped[str] = mapped_column(String(200))
    number: Mapped[float | None]
    unit: Mapped[str] = mapped_column(String(30))
    word: Mapped[str] = mapped_column(String(500))
    note: Mapped[str] = mapped_column(Text)
    created: Mapped[datetime] = mapped_column(Moment, default=now)


class RememberedRow(Table):
    """What a person chose for a car and wants to find again, such as the channels to show."""

    __tablename__ = "remembered"

    car_id: Mapped[str] = mapped_column(ForeignKey("car.id", ondelete="CASCADE"), primary_key=True)
    subject: Mapped[str] = mapped_column(String(100), primary_key=True)
    body: Mapped[Any] = mapped_column(JSON)
