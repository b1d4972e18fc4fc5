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


# In the lane: always in sight. Before and after the day: in sight where there is room, else under one entry.
DAILY_PLACES = (
    Place(name="today", path=""),
    Place(name="passes", path="/passes"),
    Place(name="next", path="/next"),
)
OTHER_PLACES = (
    Place(name="compare", path="/compare"),
    Place(name="ledger", path="/ledger"),
    Place(name="codes", path="/codes"),
    Place(name="bench", path="/bench"),
    Place(name="car", path="/file"),
)
# Three lines that grow shorter: more of the same lies beneath.
_MORE_SVG = (
    '<svg class="more-mark" viewBox="0 0 16 16" aria-hidden="true" focusable="false">'
    '<path d="M2 4H14M4 8H12M6 12H10"/></svg>'
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
        Name of the entry of the navigation that the page belongs to.
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
    end = f'<div class="bar-end">{_view_html(view, reader)}</div>'
    return f"{brand}{_car_html(reader, here)}{_nav_html(reader, here)}{end}"


def _nav_html(reader: Reader, here: Here) -> str:
    daily = "".join(f"<li>{_link_html(reader, here, entry)}</li>" for entry in DAILY_PLACES)
    wide = "".join(f'<li class="nav-wide">{_link_html(reader, here, entry)}</li>' for entry in OTHER_PLACES)
    folded = "".join(f"<li>{_link_html(reader, here, entry)}</li>" for entry in OTHER_PLACES)
    # Where the page is one of those under the entry, the entry says which.
    inside = next((entry.name for entry in OTHER_PLACES if entry.name == here.place), "")
    more = escape(reader.says("frame.more"))
    label = f'<span class="unseen">{more}: </span>{escape(reader.says(f"place.{inside}"))}' if inside else more
    marked = ' class="is-current"' if inside else ""
    return (
        f'<nav class="nav-place" aria-label="{escape(reader.says("frame.pages"))}"><ul class="nav">{daily}{wide}'
        f'<li class="nav-more"><details class="popover"><summary{marked}>{label}{_MORE_SVG}</summary>'
        f'<ul class="popover-body">{folded}</ul></details></li></ul></nav>'
    )


def _link_html(reader: Reader, here: Here, entry: Place) -> str:
    said = escape(reader.says(f"place.{entry.name}"))
    return f'<a href="{car_path(here.car, entry.path)}"{_current(entry.name == here.place)}>{said}</a>'


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
