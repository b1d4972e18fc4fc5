"""The records of every car and pass: a database with the log files beside it, written whole or not at all."""

from nextpass.book.passes import (
    KeptCar,
    KeptPass,
    answers_of,
    car_named,
    cars,
    export_pass,
    keep_answer,
    keep_car,
    keep_pass,
    pass_with_id,
    passes_of,
    remember,
    remembered,
)
from nextpass.book.store import Book, open_book

__all__ = [
    "Book",
    "KeptCar",
    "KeptPass",
    "answers_of",
    "car_named",
    "cars",
    "export_pass",
    "keep_answer",
    "keep_car",
    "keep_pass",
    "open_book",
    "pass_with_id",
    "passes_of",
    "remember",
    "remembered",
]
