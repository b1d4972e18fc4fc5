"""The cars of a book: their files, and what is remembered for them."""

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from nextpass.book.files import sha256_of
from nextpass.book.store import Book
from nextpass.book.tables import CarFileRow, CarRow, PassRow, RememberedRow, now
from nextpass.errors import BookError, Where
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCar:
    """A car of the book with its file in force."""

    id: str
    name: str
    file_id: str
    file_text: str
    pass_count: int
    newest: datetime | None


def keep_car(book: Book, name: str, file_text: str) -> KeptCar:
    """Keep a car's file; a changed file becomes the one in force, older ones stay."""
    checksum = sha256_of(file_text.encode())
    with book.writing() as session:
        car = session.scalar(select(CarRow).where(CarRow.name == name))
        if car is None:
            car = CarRow(name=name)
            session.add(car)
            session.flush()
        kept = session.scalar(select(CarFileRow).where(CarFileRow.car_id == car.id, CarFileRow.sha256 == checksum))
        if kept is None:
            session.add(CarFileRow(car_id=car.id, text=file_text, sha256=checksum))
        elif kept.id != _file_in_force(session, car).id:
            kept.created = now()
        session.flush()
        return _kept_car(session, car)


def cars(book: Book) -> tuple[KeptCar, ...]:
    """Every car, the one that was run last first."""
    with book.reading() as session:
        kept = [_kept_car(session, car) for car in session.scalars(select(CarRow).order_by(CarRow.name))]
    never = datetime.min.replace(tzinfo=UTC)
    return tuple(sorted(kept, key=lambda car: car.newest or never, reverse=True))


def car_named(book: Book, name: str) -> KeptCar:
    """The car of that name.

    Raises
    ------
    BookError
        The book has no such car.
    """
    with book.reading() as session:
        car = session.scalar(select(CarRow).where(CarRow.name == name))
        if car is None:
            known = session.scalars(select(CarRow.name).order_by(CarRow.name)).all()
            remedy = (
                phrase("refusal.book.it_has", count=", ".join(known[:8])) if known else phrase("refusal.book.bring_car")
            )
            raise BookError(phrase("refusal.book.no_car", name=name), Where(file=book.place.shown), remedy)
        return _kept_car(session, car)


def remember(book: Book, car: KeptCar, subject: str, body: object) -> None:
    """Keep what a person chose for a car."""
    with book.writing() as session:
        session.merge(RememberedRow(car_id=car.id, subject=subject, body=body))


def remembered(book: Book, car: KeptCar, subject: str) -> object | None:
    """What was kept by `remember`, or None."""
    with book.reading() as session:
        row = session.get(RememberedRow, (car.id, subject))
        return None if row is None else row.body


def _file_in_force(session: Session, car: CarRow) -> CarFileRow:
    return session.scalars(
        select(CarFileRow)
        .where(CarFileRow.car_id == car.id)
        .order_by(CarFileRow.created.desc(), CarFileRow.id)
        .limit(1)
    ).one()


def _kept_car(session: Session, car: CarRow) -> KeptCar:
    file = _file_in_force(session, car)
    count, newest = session.execute(
        select(func.count(), func.max(PassRow.created)).where(PassRow.car_id == car.id)
    ).one()
    return KeptCar(id=car.id, name=car.name, file_id=file.id, file_text=file.text, pass_count=count, newest=newest)
