"""The JSON API beside the pages: the same answers as ``--json``, described at ``/api/openapi.json``.

Every refusal is one object with what is wrong, where, and what to do, at a status of 4xx. The functions are short: they
find the car, ask the desk, and write its answer down.
"""

from collections.abc import Mapping
from datetime import datetime
from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, FastAPI, Query, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse

from nextpass import __version__
from nextpass.answers import (
    PlanAnswer,
    ReviewAnswer,
    WhatIfAnswer,
    plan_answer,
    review_answer,
    setup_answer,
    what_if_answer,
)
from nextpass.car import Conditions, checked_setup
from nextpass.errors import BookError, NextpassError, NotEnoughData
from nextpass.jobs import (
    Brought,
    Desk,
    KeptCar,
    KeptPass,
    keep_brought,
    look_at,
    next_pass_text,
    take_setup,
)
from nextpass.web.api_models import (
    CarAnswer,
    CarLine,
    CarSent,
    ConditionsSent,
    DroppedAnswer,
    LookedAtAnswer,
    PassLine,
    PassSent,
    QuestionAnswer,
    RefusalAnswer,
    TakenAnswer,
    WhatIfSent,
)
from nextpass.web.api_season import add_season
from nextpass.web.api_traces import add_traces
from nextpass.web.documents import Language, add_documents
from nextpass.web.finding_cars import car_called, pass_of
from nextpass.web.staging import Staging
from nextpass.words import LANGUAGES, phrase, translated

_REFUSALS: dict[int | str, dict[str, Any]] = {
    status: {"model": RefusalAnswer, "description": reason}
    for status, reason in (
        (HTTPStatus.BAD_REQUEST.value, "The request cannot be read."),
        (HTTPStatus.NOT_FOUND.value, "No such car, pass or dropped log."),
        (HTTPStatus.CONFLICT.value, "The passes at hand cannot answer this."),
        (HTTPStatus.UNPROCESSABLE_ENTITY.value, "Something that was sent does not fit."),
        (HTTPStatus.SERVICE_UNAVAILABLE.value, "The book cannot be read or written."),
    )
}


def make_api(desk: Desk, staging: Staging) -> FastAPI:
    """API over a desk.

    Parameters
    ----------
    desk : Desk
        With the book open.
    staging : Staging
        Where dropped logs wait.

    Returns
    -------
    FastAPI
        To be mounted below ``/api``.
    """
    api = FastAPI(title="nextpass", version=__version__, docs_url=None, redoc_url=None, responses=_REFUSALS)
    api.add_exception_handler(NextpassError, _refuse)
    api.add_exception_handler(RequestValidationError, _refuse_unreadable)
    router = APIRouter()
    _add_cars(router, desk)
    _add_passes(router, desk, staging)
    add_traces(router, desk)
    _add_plan(router, desk)
    add_season(router, desk, staging)
    add_documents(router, desk)
    api.include_router(router)
    return api


def _add_cars(router: APIRouter, desk: Desk) -> None:
    @router.get("/cars")
    def every_car() -> list[CarLine]:
        """Every car of the book, the one that was run last first."""
        return [CarLine(name=kept.name, passes=kept.pass_count, newest=_moment(kept.newest)) for kept in desk.cars()]

    @router.post("/cars", status_code=HTTPStatus.CREATED)
    def new_car(sent: CarSent) -> CarAnswer:
        """Keep a car file, new or changed."""
        return _car_answer(desk.add_car(sent.file))

    @router.get("/cars/{car}")
    def one_car(car: str) -> CarAnswer:
        """A car with its file in force."""
        return _car_answer(car_called(desk, car))


def _add_passes(router: APIRouter, desk: Desk, staging: Staging) -> None:
    @router.get("/cars/{car}/passes")
    def every_pass(car: str) -> list[PassLine]:
        """The passes of a car in the order in which they were run."""
        return [_pass_line(one) for one in desk.passes(car_called(desk, car))]

    @router.post("/cars/{car}/logs", status_code=HTTPStatus.CREATED)
    async def drop_log(
        car: str,
        request: Request,
        name: Annotated[str, Query(min_length=1, max_length=300)],
        language: Language = "en",  # noqa: ARG001 - of a refusal, see `_refuse`
    ) -> DroppedAnswer:
        """Drop a log: its bytes are the body. It waits for an hour to become a pass."""
        car_called(desk, car)
        staged = await staging.take(name, request.stream())
        return DroppedAnswer(dropped=staged.token, name=staged.name)

    @router.post("/cars/{car}/logs/look")
    def look(car: str, sent: PassSent) -> LookedAtAnswer:
        """What a dropped log holds and asks, before anything is kept."""
        kept = car_called(desk, car)
        log = look_at(desk, kept, _brought(desk, kept, staging, sent))
        return LookedAtAnswer(
            rate_hz=log.quality.rate_hz,
            channels=list(log.channels),
            questions=[
                QuestionAnswer(column=match.column, question=match.question, choices=list(match.choices))
                for match in log.questions
            ],
            remarks=list(log.quality.remarks),
        )

    @router.post("/cars/{car}/passes", status_code=HTTPStatus.CREATED)
    def keep_pass(car: str, sent: PassSent) -> PassLine:
        """Make a pass of a dropped log, and review it."""
        kept = car_called(desk, car)
        added = keep_brought(desk, kept, _brought(desk, kept, staging, sent))
        staging.leave(sent.dropped)
        return _pass_line(added)

    @router.get("/cars/{car}/passes/{sequence}/review")
    def review(car: str, sequence: int) -> ReviewAnswer:
        """The review of a pass: the answer of ``nextpass review --json``."""
        kept = car_called(desk, car)
        return review_answer(desk.reviewed(kept, pass_of(desk, kept, sequence)))


def _add_plan(router: APIRouter, desk: Desk) -> None:
    @router.get("/cars/{car}/plan")
    def plan(car: str, most_changes: Annotated[int | None, Query(ge=1, le=100)] = None) -> PlanAnswer:
        """The plan for the pass after the newest: the answer of ``nextpass plan --json``."""
        return plan_answer(desk.plan(car_called(desk, car), None, most_changes))

    @router.post("/cars/{car}/whatif")
    def what_if(car: str, sent: WhatIfSent) -> WhatIfAnswer:
        """Forecast of any setup: the answer of ``nextpass whatif --json``."""
        kept = car_called(desk, car)
        setup = checked_setup(desk.car(kept), sent.setup)
        return what_if_answer(setup, desk.what_if(kept, setup, _conditions(desk, kept, sent.conditions)))

    @router.post("/cars/{car}/taken")
    def take(car: str, sent: WhatIfSent) -> TakenAnswer:
        """Note the setup that is dialled in for the next pass; gives its pass file."""
        kept = car_called(desk, car)
        setup = checked_setup(desk.car(kept), sent.setup)
        take_setup(desk, kept, setup)
        text = next_pass_text(desk, kept, setup, _conditions(desk, kept, sent.conditions))
        return TakenAnswer(setup=setup_answer(setup), pass_file=text)


def _conditions(desk: Desk, kept: KeptCar, sent: ConditionsSent | None) -> Conditions:
    if sent is not None:
        return Conditions(
            air_temperature_c=sent.air_temperature_c,
            pressure_kpa=sent.pressure_kpa,
            humidity=sent.humidity_pct / 100.0,
            track_temperature_c=sent.track_temperature_c,
            slope=sent.slope_pct / 100.0,
            headwind_mps=sent.headwind_mps,
        )
    passes = desk.passes(kept)
    if not passes:
        raise NotEnoughData(
            phrase("refusal.jobs.no_pass_yet", name=kept.name), remedy=phrase("refusal.web.send_conditions")
        )
    return desk.record(kept, passes[-1]).conditions


def _brought(desk: Desk, kept: KeptCar, staging: Staging, sent: PassSent) -> Brought:
    staged = staging.get(sent.dropped)
    return Brought(
        log=Path(staged.path),
        name=staged.name,
        setup=checked_setup(desk.car(kept), sent.setup),
        conditions=_conditions(desk, kept, sent.conditions),
        number=sent.number,
        started=sent.started,
        notes=sent.notes,
        answers=sent.answers,
    )


def _car_answer(kept: KeptCar) -> CarAnswer:
    return CarAnswer(name=kept.name, passes=kept.pass_count, newest=_moment(kept.newest), file=kept.file_text)


def _pass_line(kept_pass: KeptPass) -> PassLine:
    return PassLine(
        sequence=kept_pass.sequence,
        number=kept_pass.number,
        started=_moment(kept_pass.started),
        fuel=kept_pass.fuel,
        notes=kept_pass.notes,
        logs=list(kept_pass.log_names),
    )


def _moment(time: datetime | None) -> str | None:
    return None if time is None else time.isoformat()


def status_of(refusal: NextpassError) -> HTTPStatus:
    """Status of a refusal on the web.

    Parameters
    ----------
    refusal : NextpassError
        As raised.

    Returns
    -------
    HTTPStatus
        4xx; 503 where the book itself does not answer.
    """
    by_kind: Mapping[type[NextpassError], HTTPStatus] = {
        NotEnoughData: HTTPStatus.CONFLICT,
        BookError: HTTPStatus.SERVICE_UNAVAILABLE,
    }
    status = getattr(refusal, "status", None)
    if isinstance(status, HTTPStatus):
        return status
    return next(
        (status for kind, status in by_kind.items() if isinstance(refusal, kind)), HTTPStatus.UNPROCESSABLE_ENTITY
    )


async def _refuse(request: Request, refusal: Exception) -> Response:
    assert isinstance(refusal, NextpassError)
    # English like every answer, unless the address asks for the language of the page that will show it.
    asked = request.query_params.get("language", "en")
    language = asked if asked in LANGUAGES else "en"
    what, remedy = translated(refusal.what, language), translated(refusal.remedy, language)
    body = RefusalAnswer(what=what, where=str(refusal.where), remedy=remedy)
    return JSONResponse(body.model_dump(), status_code=status_of(refusal))


async def _refuse_unreadable(_request: Request, refusal: Exception) -> Response:
    assert isinstance(refusal, RequestValidationError)
    first = refusal.errors()[0]
    where = ".".join(str(part) for part in first["loc"])
    body = RefusalAnswer(what=first["msg"], where=where, remedy=phrase("refusal.web.see_schema"))
    return JSONResponse(body.model_dump(), status_code=HTTPStatus.UNPROCESSABLE_ENTITY)
