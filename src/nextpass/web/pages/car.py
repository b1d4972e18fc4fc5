"""The car: its file, what is assumed in it, and what the passes say against what is believed."""

from html import escape

from fastapi import Request

from nextpass.jobs import Desk
from nextpass.web.parts.markup import put, sheet
from nextpass.web.visit import Visit, add_car_page


def add_car(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/file", "car", _content)


async def _content(visit: Visit, _request: Request) -> None:
    put(f"<h1>{escape(visit.car.name)}</h1>", "title")
    with sheet(visit.says("review.assumed")):
        put("")
