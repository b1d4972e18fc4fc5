"""The shell of every page: bar, navigation, the visitor's view, and the place for content."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape
from urllib.parse import quote

from nicegui import Client, ui

from nextpass.report import Reader
from nextpass.web.state import THEMES, View
from nextpass.web.theme import MARK_SVG, head_html
from nextpass.words import LANGUAGES


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A page of the navigation: its name in the texts and the last part of its address."""

    name: str
    path: str


# One line a page, in the order of a day; what has a page of its own later joins here.
PLACES = (
    Place(name="today", path=""),
    Place(name="passes", path="/passes"),
    Place(name="next", path="/next"),
    Place(name="car", path="/file"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Here:
    """Where the visitor is.

    Parameters
    ----------
    title : str
        Of the page, for the window.
    car : str
        Handle of the car whose page it is; empty where there is no car yet.
    cars : sequence of (str, str)
        Handle and name of the cars to choose from.
    place : str
        Name of the entry of `PLACES` that the page belongs to.
    """

    title: str
    car: str = ""
    cars: Sequence[tuple[str, str]] = ()
    place: str = ""


def car_path(handle: str, rest: str = "") -> str:
    """Address of a page of a car.

    Parameters
    ----------
    handle : str
        Of the car.
    rest : str
        Path below the car, with its slash.

    Returns
    -------
    str
        Quoted.
    """
    return f"/car/{quote(handle, safe='')}{rest}"


@contextmanager
def frame(client: Client, view: View, here: Here) -> Iterator[None]:
    """Draw the shell and open the place for content.

    Parameters
    ----------
    client : Client
        Of the page that is being built.
    view : View
        Of the visitor.
    here : Here
        Where the visitor is.

    Yields
    ------
    None
        Inside the place for content.
    """
    ui.page_title(f"{here.title} · nextpass")
    ui.add_head_html(head_html(view))
    reader = view.reader()
    skip = f'<a class="skip" href="#content">{escape(reader.says("frame.skip"))}</a>'
    with client.layout:
        bar = ui.html(skip + _bar_html(view, reader, here), sanitize=False, tag="header").classes("bar")
    # Before the page in the document too, so that the keyboard meets it first.
    bar.move(client.layout, 0)
    with ui.element("div").classes("page").props("id=content tabindex=-1"):
        yield


def _bar_html(view: View, reader: Reader, here: Here) -> str:
    home = car_path(here.car) if here.car else "/"
    brand = f'<a class="brand" href="{home}" aria-label="nextpass">{MARK_SVG}<b>nextpass</b></a>'
    if not here.car:
        return f'{brand}<div class="bar-end">{_view_html(view, reader)}</div>'
    links = "".join(
        f'<li><a href="{car_path(here.car, entry.path)}"{_current(entry.name == here.place)}>'
        f"{escape(reader.says(f'place.{entry.name}'))}</a></li>"
        for entry in PLACES
    )
    pages = escape(reader.says("frame.pages"))
    return (
        f"{brand}{_car_html(reader, here)}"
        f'<nav class="nav-place" aria-label="{pages}"><ul class="nav">{links}</ul></nav>'
        f'<div class="bar-end">{_view_html(view, reader)}</div>'
    )


def _current(is_here: bool) -> str:
    return ' aria-current="page"' if is_here else ""


def _selected(is_chosen: bool) -> str:
    return " selected" if is_chosen else ""


def _car_html(reader: Reader, here: Here) -> str:
    options = "".join(
        f'<option value="{car_path(handle)}"{_selected(handle == here.car)}>{escape(name)}</option>'
        for handle, name in here.cars
    )
    new = f'<option value="/new">{escape(reader.says("frame.new_car"))}</option>'
    return (
        f'<div class="field car-select"><select aria-label="{escape(reader.says("frame.car"))}" '
        f'onchange="location.href = this.value">{options}{new}</select></div>'
    )


def _view_html(view: View, reader: Reader) -> str:
    units = view.units
    choices: tuple[tuple[str, dict[str, str], str], ...] = (
        ("language", dict(LANGUAGES), view.language),
        ("pressure", {"bar": "bar", "kpa": "kPa", "psi": "psi"}, units.pressure),
        ("reference", {name: reader.says(f"view.{name}") for name in ("absolute", "gauge")}, units.reference),
        ("speed", {"kmh": "km/h", "mph": "mph"}, units.speed),
        ("theme", {name: reader.says(f"view.{name}") for name in THEMES}, view.theme),
    )
    fields = "".join(
        _choice_html(place, reader.says(f"view.{name}"), options, chosen)
        for place, (name, options, chosen) in enumerate(choices)
    )
    shown = f"{reader.pressure_unit}, {reader.speed_unit}"
    return (
        f'<details class="popover"><summary><span class="unseen">{escape(reader.says("view.open"))}: </span>'
        f'{escape(shown)}</summary><div class="popover-body">{fields}</div></details>'
    )


def _choice_html(place: int, label: str, options: dict[str, str], chosen: str) -> str:
    entries = "".join(
        f'<option value="{value}"{_selected(value == chosen)}>{escape(said)}</option>'
        for value, said in options.items()
    )
    return (
        f'<div class="field"><label for="view-{place}">{escape(label)}</label>'
        f'<select id="view-{place}" onchange="nextpass.view({place}, this.value)">{entries}</select></div>'
    )
