"""What is taken away from a page: the card, the report of a pass, of a day and of the season, each as a file."""

from typing import Annotated

from fastapi import APIRouter, Query, Response

from nextpass.errors import UnitError
from nextpass.jobs import Desk, KeptCar, personal, season_of, season_reader
from nextpass.plan import Plan
from nextpass.report import (
    Reader,
    card_pdf,
    card_text,
    day_page,
    day_pdf,
    review_page,
    review_pdf,
    season_page,
    season_pdf,
)
from nextpass.review import Finding, ReviewedPass
from nextpass.units import ShownUnits, shown_units
from nextpass.web.finding_cars import car_called, pass_of
from nextpass.words import LANGUAGES, phrase

Language = Annotated[str, Query(description="en or de", max_length=8)]
Units = Annotated[str, Query(description="such as psi,gauge,mph", max_length=60)]
Without = Annotated[str, Query(description="What to leave out: notes,owner,started,position", max_length=60)]
_PDF: dict[str, object] = {"content": {"application/pdf": {"schema": {"type": "string", "format": "binary"}}}}
_HTML: dict[str, object] = {"content": {"text/html": {"schema": {"type": "string"}}}}
_TEXT: dict[str, object] = {"content": {"text/plain": {"schema": {"type": "string"}}}}
# A day's page holds the newest passes only: a season would not open on a phone.
_MOST_PASSES = 8


def add_documents(router: APIRouter, desk: Desk) -> None:
    """Add the addresses of files to the API.

    Parameters
    ----------
    router : APIRouter
        Of the API.
    desk : Desk
        With the book open.
    """

    @router.get("/cars/{car}/card.pdf", response_class=Response, responses={200: _PDF})
    def card(car: str, language: Language = "en", units: Units = "") -> Response:
        """The next setup on one A5 page."""
        kept = car_called(desk, car)
        shown, plan = shown_units(units), desk.plan(kept)
        return _pdf(card_pdf(desk.car(kept), plan, shown, _known(language), newest_findings(desk, kept)))

    @router.get("/cars/{car}/card.txt", response_class=Response, responses={200: _TEXT})
    def card_as_text(car: str, language: Language = "en", units: Units = "") -> Response:
        """The same card as text."""
        kept = car_called(desk, car)
        shown, plan = shown_units(units), desk.plan(kept)
        text = card_text(desk.car(kept), plan, shown, _known(language), newest_findings(desk, kept))
        return Response(text, media_type="text/plain; charset=utf-8")

    @router.get("/cars/{car}/passes/{sequence}/report.pdf", response_class=Response, responses={200: _PDF})
    def report(car: str, sequence: int, language: Language = "en", units: Units = "") -> Response:
        """The review of a pass on A4."""
        kept = car_called(desk, car)
        shown = shown_units(units)
        reviewed = desk.reviewed(kept, pass_of(desk, kept, sequence))
        return _pdf(
            review_pdf(desk.car(kept), reviewed, _reader(language, shown, reviewed.record.conditions.pressure_kpa))
        )

    @router.get("/cars/{car}/passes/{sequence}/report.html", response_class=Response, responses={200: _HTML})
    def report_page(car: str, sequence: int, language: Language = "en", units: Units = "") -> Response:
        """The review of a pass as one file that needs no network."""
        kept = car_called(desk, car)
        shown = shown_units(units)
        reviewed = desk.reviewed(kept, pass_of(desk, kept, sequence))
        reader = _reader(language, shown, reviewed.record.conditions.pressure_kpa)
        return _html(review_page(desk.car(kept), reviewed, reader))

    _add_days(router, desk)
    _add_season(router, desk)


def _add_days(router: APIRouter, desk: Desk) -> None:
    @router.get("/cars/{car}/day.html", response_class=Response, responses={200: _HTML})
    def day(car: str, language: Language = "en", units: Units = "") -> Response:
        """The newest passes and the plan as one file that needs no network."""
        kept = car_called(desk, car)
        shown, plan = shown_units(units), desk.plan(kept)
        return _html(day_page(desk.car(kept), _newest(desk, kept), plan, _plan_reader(language, shown, plan)))

    @router.get("/cars/{car}/day.pdf", response_class=Response, responses={200: _PDF})
    def day_on_paper(car: str, language: Language = "en", units: Units = "") -> Response:
        """The newest passes and the plan on A4."""
        kept = car_called(desk, car)
        shown, plan = shown_units(units), desk.plan(kept)
        return _pdf(day_pdf(desk.car(kept), _newest(desk, kept), plan, _plan_reader(language, shown, plan)))


def _add_season(router: APIRouter, desk: Desk) -> None:
    @router.get("/cars/{car}/season.html", response_class=Response, responses={200: _HTML})
    def season_as_page(car: str, language: Language = "en", units: Units = "", without: Without = "") -> Response:
        """Every pass of a car, what drifts, what is due and its codes, as one file that needs no network."""
        season = season_of(desk, car_called(desk, car), personal([without]))
        return _html(season_page(season, season_reader(season, shown_units(units), _known(language))))

    @router.get("/cars/{car}/season.pdf", response_class=Response, responses={200: _PDF})
    def season_on_paper(car: str, language: Language = "en", units: Units = "", without: Without = "") -> Response:
        """The same on A4."""
        season = season_of(desk, car_called(desk, car), personal([without]))
        return _pdf(season_pdf(season, season_reader(season, shown_units(units), _known(language))))


def _newest(desk: Desk, kept: KeptCar) -> list[ReviewedPass]:
    return [desk.reviewed(kept, one) for one in desk.passes(kept)[-_MOST_PASSES:]]


def newest_findings(desk: Desk, kept: KeptCar) -> tuple[Finding, ...]:
    """Findings of the newest pass, which a card must show.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose pass it is.

    Returns
    -------
    tuple of Finding
        Empty where there is no pass.
    """
    passes = desk.passes(kept)
    return desk.reviewed(kept, passes[-1]).review.findings if passes else ()


def _known(language: str) -> str:
    if language not in LANGUAGES:
        raise UnitError(
            phrase("refusal.web.no_language", word=language),
            remedy=phrase("refusal.common.write", what=" or ".join(LANGUAGES)),
        )
    return language


def _reader(language: str, shown: ShownUnits, barometer_kpa: float) -> Reader:
    return Reader(language=_known(language), units=shown, barometer_kpa=barometer_kpa)


def _plan_reader(language: str, shown: ShownUnits, plan: Plan) -> Reader:
    return _reader(language, shown, plan.conditions.pressure_kpa)


def _pdf(content: bytes) -> Response:
    return Response(content, media_type="application/pdf", headers={"cache-control": "no-store"})


def _html(content: str) -> Response:
    return Response(content, media_type="text/html; charset=utf-8", headers={"cache-control": "no-store"})
