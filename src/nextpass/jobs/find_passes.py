"""Passes of a book by car, fuel, strip, finding and value."""

from nextpass import __version__
from nextpass.answers import FindAnswer, FoundFindingAnswer, FoundPassAnswer
from nextpass.book import Book, FoundPass, Search, cars, find, stale_passes
from nextpass.jobs.answer_kinds import ANSWER_KINDS


def found_passes(book: Book, search: Search) -> FindAnswer:
    """The passes that a search asks for, and how many of the book could not be searched by answers of today.

    Raises
    ------
    SettingError
        The condition is none, or names a value that no pass has.
    """
    return FindAnswer(
        passes=[_found_answer(one) for one in find(book, search)],
        out_of_date=len(stale_passes(book, cars(book), tuple(ANSWER_KINDS), __version__)),
    )


def _found_answer(found: FoundPass) -> FoundPassAnswer:
    return FoundPassAnswer(
        id=found.id,
        car=found.car,
        sequence=found.sequence,
        number=found.number,
        started=found.started,
        fuel=found.fuel,
        strip=found.strip,
        lane=found.lane,
        notes=found.notes,
        values=found.values,
        findings=[FoundFindingAnswer(code=code, severity=severity) for code, severity in found.findings],
    )
