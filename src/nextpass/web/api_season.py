"""The API for what a season tells: comparisons, the ledger, trouble codes, sums and tests made at rest."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query

from nextpass.answers import (
    CodesAnswer,
    CompareAnswer,
    GuidedAnswer,
    LedgerAnswer,
    SumAnswer,
    codes_answer,
    compare_answer,
    guided_answer,
    ledger_answer,
    sum_answer,
)
from nextpass.car import LedgerEntry
from nextpass.jobs import (
    CompareAsked,
    Desk,
    GuidedKind,
    codes_in,
    compare_kept,
    guided_kept,
    keep_ledger_entries,
    last_change,
    ledger_entries,
    ledger_of_car,
    weigh_kept,
    worked_sum,
)
from nextpass.web.api_models import DroppedSent, EntryAnswer, EntrySent, Name, SumSent
from nextpass.web.finding_cars import car_called, check_passes
from nextpass.web.staging import Staging

_MOST_PASSES, _MOST_CODES = 60, 100
Counts = Annotated[list[Annotated[int, Query(ge=1, le=10_000_000)]], Query(max_length=_MOST_PASSES)]
Codes = Annotated[list[Name], Query(max_length=_MOST_CODES)]


def add_season(router: APIRouter, desk: Desk, staging: Staging) -> None:
    """Add the addresses to the API.

    Parameters
    ----------
    router : APIRouter
        Of the API.
    desk : Desk
        With the book open.
    staging : Staging
        Where dropped logs wait.
    """
    _add_compare(router, desk)
    _add_ledger(router, desk)
    _add_codes(router, desk)
    _add_bench(router, desk, staging)


def _add_compare(router: APIRouter, desk: Desk) -> None:
    @router.get("/cars/{car}/compare")
    def compare(
        car: str,
        passes: Counts = [],  # noqa: B006 - read anew for every request
        before: Counts = [],  # noqa: B006
        after: Counts = [],  # noqa: B006
        by: Annotated[str | None, Query(max_length=100, description="An adjuster, or adjuster.gear.")] = None,
        scatter: Annotated[float | None, Query(ge=0.002, le=1.0, description="Known scatter of the ET [s].")] = None,
    ) -> CompareAnswer:
        """Whether a change helped: ``nextpass compare --json``; the last change of the setup where nothing is asked."""
        kept = car_called(desk, car)
        check_passes(desk, kept, (*passes, *before, *after))
        if passes or before or after:
            asked = CompareAsked(
                passes=tuple(passes), before=tuple(before), after=tuple(after), change=by, known_scatter_s=scatter
            )
        else:
            asked = last_change(desk, kept)
        return compare_answer(compare_kept(desk, kept, asked))


def _add_ledger(router: APIRouter, desk: Desk) -> None:
    @router.get("/cars/{car}/ledger")
    def ledger(car: str) -> LedgerAnswer:
        """What the passes have cost the car: the answer of ``nextpass ledger --json``."""
        return ledger_answer(ledger_of_car(desk, car_called(desk, car)))

    @router.get("/cars/{car}/entries")
    def entries(car: str) -> list[EntryAnswer]:
        """What was done to the car by hand, the oldest first."""
        return [_entry_answer(entry) for entry in ledger_entries(desk, car_called(desk, car))]

    @router.post("/cars/{car}/entries", status_code=HTTPStatus.CREATED)
    def new_entry(car: str, sent: EntrySent) -> EntryAnswer:
        """Keep what was done to the car; the same moment and item again takes the place of the earlier one."""
        kept = car_called(desk, car)
        entry = LedgerEntry(
            when=sent.when,
            kind=sent.kind,
            item=sent.item,
            values=sent.values,
            due_launches=sent.due_launches,
            due_days=sent.due_days,
            codes=tuple(str(code) for code in codes_in(sent.codes)),
            state=sent.state,
            notes=sent.notes,
        )
        keep_ledger_entries(desk, kept, [entry])
        return _entry_answer(entry)


def _add_codes(router: APIRouter, desk: Desk) -> None:
    @router.get("/cars/{car}/codes")
    def codes(
        car: str,
        code: Codes = [],  # noqa: B006
        before: Codes = [],  # noqa: B006
        with_pass: Counts = [],  # noqa: B006
    ) -> CodesAnswer:
        """Trouble codes weighed against passes of the car: the answer of ``nextpass codes --json``."""
        kept = car_called(desk, car)
        check_passes(desk, kept, with_pass)
        weighed, states = weigh_kept(desk, kept, codes_in(code), codes_in(before), with_pass)
        return codes_answer(weighed, states)


def _add_bench(router: APIRouter, desk: Desk, staging: Staging) -> None:
    @router.post("/cars/{car}/bench/{name}")
    def bench(car: str, name: str, sent: SumSent) -> SumAnswer:
        """A sum of the workbench: the answer of ``nextpass workbench --json``."""
        kept = car_called(desk, car)
        passes = desk.passes(kept)
        newest = desk.record(kept, passes[-1]) if passes else None
        return sum_answer(worked_sum(desk.car(kept), name, sent.values, newest))

    @router.post("/cars/{car}/guided/{kind}")
    def guided(car: str, kind: GuidedKind, sent: DroppedSent) -> GuidedAnswer:
        """A dropped log of a test made at rest: the answer of ``nextpass guided --json``. The log is not kept."""
        kept = car_called(desk, car)
        staged = staging.get(sent.dropped)
        try:
            return guided_answer(guided_kept(desk, kept, kind, staged.path, staged.name))
        finally:
            staging.leave(sent.dropped)


def _entry_answer(entry: LedgerEntry) -> EntryAnswer:
    return EntryAnswer(
        when=entry.when.isoformat(),
        kind=entry.kind,
        item=entry.item,
        values=dict(entry.values),
        due_launches=entry.due_launches,
        due_days=entry.due_days,
        codes=list(entry.codes),
        state=entry.state,
        notes=entry.notes,
    )
