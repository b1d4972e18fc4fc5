"""Passes of a book by car, fuel, strip, finding and value."""

from difflib import get_close_matches

from nextpass import __version__
from nextpass.answers import FindAnswer, FoundFindingAnswer, FoundPassAnswer
from nextpass.book import Book, FoundPass, Search, cars, find, stale_passes
from nextpass.errors import SettingError, Where
from nextpass.jobs.answer_kinds import ANSWER_KINDS
from nextpass.review import finding_codes
from nextpass.words import phrase


def found_passes(book: Book, search: Search) -> FindAnswer:
    """The passes that a search asks for, and how many of the book could not be searched by answers of today.

    Raises
    ------
    SettingError
        The condition is none, or names a value that no pass has; a finding is none that a review can have.
    """
    for code in search.findings:
        if code not in finding_codes():
            nearest = get_close_matches(code, finding_codes(), n=3, cutoff=0.3) or finding_codes()
            raise SettingError(
                phrase("refusal.book.no_finding", code=code),
                Where(key="finding"),
                phrase("refusal.book.nearest_findings", codes=", ".join(nearest)),
            )
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
