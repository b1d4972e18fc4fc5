"""The way in: to the car that was run last, or to the first car of an empty book."""

import asyncio

from nicegui import ui
from starlette.responses import RedirectResponse, Response

from nextpass.jobs import Desk
from nextpass.web.finding_cars import handle_of
from nextpass.web.frame import car_path


def add_home(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """

    @ui.page("/")
    async def home() -> Response:
        every = await asyncio.to_thread(desk.cars)
        return RedirectResponse(car_path(handle_of(every[0])) if every else "/new", status_code=307)
