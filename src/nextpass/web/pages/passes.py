"""Every pass of a car, newest first."""

import asyncio

from fastapi import Request

from nextpass.jobs import REVIEW, Desk
from nextpass.web.parts.markup import put
from nextpass.web.parts.passes import PassRow, pass_row, passes_html
from nextpass.web.visit import Visit, add_car_page


def add_passes(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/passes", "passes", _content)


async def _content(visit: Visit, _request: Request) -> None:
    rows = await asyncio.to_thread(newest_rows, visit)
    put(f"<h1>{visit.says('place.passes')}</h1>", "title")
    if rows:
        put(passes_html(rows, visit.reader()), "sheet")
    else:
        put(f"<p>{visit.says('passes.none')}</p>")


def newest_rows(visit: Visit, most: int | None = None) -> list[PassRow]:
    """Rows of the newest passes from the reviews that the book keeps.

    Parameters
    ----------
    visit : Visit
        Of the page.
    most : int, optional
        How many; every pass where it is not given.

    Returns
    -------
    list of PassRow
        Newest first.
    """
    every = visit.desk.passes(visit.kept)
    shown = every if most is None else every[-most:]
    answers = visit.desk.answers(visit.kept, REVIEW)
    return [
        pass_row(one, answers.get(one.id), visit.path(f"/pass/{one.sequence}"), visit.reader())
        for one in reversed(shown)
    ]
