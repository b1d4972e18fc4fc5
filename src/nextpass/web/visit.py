"""One visit of a page: who looks, at which car, and what is shown when the address names nothing."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from urllib.parse import quote

from fastapi import Request
from nicegui import Client, ui

from nextpass.car import Car
from nextpass.errors import NextpassError
from nextpass.jobs import Desk, KeptCar
from nextpass.report import STANDARD_BAROMETER_KPA, Reader
from nextpass.web.finding_cars import car_called, handle_of
from nextpass.web.frame import Here, car_path, frame
from nextpass.web.state import VIEW_COOKIE, View, view_of
from nextpass.web.waiting import answer_of, show_refusal

# Reading the log of a pass and reviewing it may take some seconds on a small machine; the page waits for it.
_PATIENCE_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One visit of a page of a car."""

    client: Client
    view: View
    desk: Desk
    kept: KeptCar
    car: Car
    cars: tuple[tuple[str, str], ...]

    def reader(self, barometer_kpa: float = STANDARD_BAROMETER_KPA) -> Reader:
        """The visitor as a reader under that barometer [kPa]."""
        return self.view.reader(barometer_kpa)

    def says(self, key: str, **values: object) -> str:
        """Text of a key in the visitor's language."""
        return self.view.reader().says(key, **values)

    def path(self, rest: str = "") -> str:
        """Address of a page of this car."""
        return car_path(handle_of(self.kept), rest)

    def api(self, rest: str = "") -> str:
        """Address of the API for this car."""
        return f"/api/cars/{quote(handle_of(self.kept), safe='')}{rest}"

    def query(self) -> str:
        """Language and units for the address of a file."""
        units = self.view.units
        return f"?language={self.view.language}&units={units.pressure},{units.reference},{units.speed}"


Content = Callable[[Visit, Request], Awaitable[None]]


def view_of_request(request: Request) -> View:
    """View of the visitor who sends a request.

    Parameters
    ----------
    request : Request
        With its cookies.

    Returns
    -------
    View
        The browser's language where there is no cookie.
    """
    return view_of(request.cookies.get(VIEW_COOKIE), request.headers.get("accept-language", ""))


def add_car_page(desk: Desk, path: str, place: str, content: Content) -> None:
    """Register a page of a car.

    Parameters
    ----------
    desk : Desk
        With the book open.
    path : str
        Below ``/car/{car}``.
    place : str
        Entry of the navigation that it belongs to.
    content : callable
        Draws what is on it.
    """

    @ui.page(f"/car/{{car}}{path}", response_timeout=_PATIENCE_S)
    async def page(request: Request, car: str) -> None:
        client = ui.context.client
        view = view_of_request(request)
        found = await answer_of(lambda: _find(desk, client, view, car))
        if isinstance(found, Exception):
            _not_here(client, view, found)
            return
        title = view.reader().says(f"place.{place}")
        here = Here(title=title, car=handle_of(found.kept), cars=found.cars, place=place)
        with frame(client, view, here):
            try:
                await content(found, request)
            except NextpassError as refusal:
                client.status_code = _status(refusal)
                show_refusal(refusal, view.reader())


def _find(desk: Desk, client: Client, view: View, name: str) -> Visit:
    kept = car_called(desk, name)
    cars = tuple((handle_of(one), one.name) for one in desk.cars())
    return Visit(client=client, view=view, desk=desk, kept=kept, car=desk.car(kept), cars=cars)


def _not_here(client: Client, view: View, refusal: Exception) -> None:
    client.status_code = _status(refusal)
    with frame(client, view, Here(title="nextpass")):
        show_refusal(refusal, view.reader())


def _status(refusal: Exception) -> int:
    return int(getattr(refusal, "status", 500 if not isinstance(refusal, NextpassError) else 422))
