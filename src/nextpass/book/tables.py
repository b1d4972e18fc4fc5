"""The tables of a book: cars and their files, passes and their logs, answers, and what a car remembers.

Text that a person wrote (car files, pass files) is kept to the letter, so that an export gives it back unchanged; the
columns beside it exist to be searched. Times are UTC.
"""

from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import JSON, DateTime, ForeignKey, Index, MetaData, String, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship


def _new_id() -> str:
    return uuid4().hex


def _now() -> datetime:
    return datetime.now(UTC)


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

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=_new_id)
    name: Mapped[str] = mapped_column(String(200), unique=True)
    created: Mapped[datetime] = mapped_column(DateTime(timezone=True), default=_now)
    files: Mapped[list["CarFileRow"]] = relationship(back_populates="car", order_by="CarFileRow.created")


class CarFileRow(Table):
    """One version of a car's file; the newest is in force."""

    __tablename__ = "car_file"
    __table_args__ = (UniqueConstraint("car_id", "sha256"),)

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=_new_id)
    car_id: Mapped[str] = mapped_column(ForeignKey("car.id", ondelete="CASCADE"))
    text: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    created: Mapped[datetime] = mapped_column(DateTime(timezone=True), default=_now)
    car: Mapped[CarRow] = relationship(back_populates="files")


class PassRow(Table):
    """One pass: its file to the letter, and what it is found by."""

    __tablename__ = "pass"
    __table_args__ = (
        UniqueConstraint("car_id", "content_sha256"),
        Index(None, "car_id", "sequence"),
    )

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=_new_id)
    car_id: Mapped[str] = mapped_column(ForeignKey("car.id", ondelete="CASCADE"))
    sequence: Mapped[int]
    number: Mapped[int | None]
    started: Mapped[datetime | None] = mapped_column(DateTime(timezone=True))
    fuel: Mapped[str] = mapped_column(String(100))
    notes: Mapped[str] = mapped_column(Text)
    toml: Mapped[str] = mapped_column(Text)
    content_sha256: Mapped[str] = mapped_column(String(64))
    created: Mapped[datetime] = mapped_column(DateTime(timezone=True), default=_now)
    logs: Mapped[list["PassLogRow"]] = relationship(back_populates="owner", order_by="PassLogRow.position")


class PassLogRow(Table):
    """One log file of a pass; its bytes lie beside the database under their checksum."""

    __tablename__ = "pass_log"

    pass_id: Mapped[str] = mapped_column(ForeignKey("pass.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    file_name: Mapped[str] = mapped_column(String(300))
    sha256: Mapped[str] = mapped_column(String(64))
    size: Mapped[int]
    owner: Mapped[PassRow] = relationship(back_populates="logs")


class AnswerRow(Table):
    """An answer by the contract, with the program and the car file that made it."""

    __tablename__ = "answer"
    __table_args__ = (UniqueConstraint("pass_id", "kind"),)

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=_new_id)
    pass_id: Mapped[str] = mapped_column(ForeignKey("pass.id", ondelete="CASCADE"))
    kind: Mapped[str] = mapped_column(String(20))
    program: Mapped[str] = mapped_column(String(50))
    car_file_id: Mapped[str] = mapped_column(ForeignKey("car_file.id", ondelete="CASCADE"))
    body: Mapped[dict[str, Any]] = mapped_column(JSON)
    created: Mapped[datetime] = mapped_column(DateTime(timezone=True), default=_now)


class RememberedRow(Table):
    """What a person chose for a car and wants to find again, such as the channels to show."""

    __tablename__ = "remembered"

    car_id: Mapped[str] = mapped_column(ForeignKey("car.id", ondelete="CASCADE"), primary_key=True)
    subject: Mapped[str] = mapped_column(String(100), primary_key=True)
    body: Mapped[Any] = mapped_column(JSON)
