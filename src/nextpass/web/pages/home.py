"""The way in: to the car that was run last, or to the first car of an empty book."""

import asyncio

from nicegui import ui
from starlette.responses import RedirectResponse, Response

from nextpass.jobs import Desk
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
        return RedirectResponse(car_path(every[0].name) if every else "/new", status_code=307)
