"""The answers of the commands on a book: what was brought in, made anew, found."""

from datetime import datetime

from nextpass.answers.schema import Answer


class ImportAnswer(Answer):
    """The answer of `nextpass import`."""

    cars: list[str]
    new: int
    corrected: int
    known: int
    refused: list[str]
    left: list[str]


class RecheckAnswer(Answer):
    """The answer of `nextpass recheck`."""

    passes: int
    made: int
    refused: list[str]


class FoundFindingAnswer(Answer):
    """A finding of a pass that was found."""

    code: str
    severity: str


class FoundPassAnswer(Answer):
    """A pass that was found; `values` holds what it can be found by, under the keys of files and answers."""

    id: str
    car: str
    sequence: int
    number: int | None
    started: datetime | None
    fuel: str
    strip: str
    lane: str
    notes: str
    values: dict[str, float | str]
    findings: list[FoundFindingAnswer]


class FindAnswer(Answer):
    """The answer of `nextpass find`; `out_of_date` passes of the book lack an answer of this program and car file."""

    passes: list[FoundPassAnswer]
    out_of_date: int
