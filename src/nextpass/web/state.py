"""How one visitor wants to see things: language, units, daylight or night.

It lives in a cookie of the visitor's browser, so that it outlasts the server, differs between the laptop and the phone,
and asks nobody to sign in. Whatever the cookie holds, a view comes out.
"""

from dataclasses import dataclass, field, replace
from typing import Literal

from nextpass.errors import UnitError
from nextpass.report import STANDARD_BAROMETER_KPA, Reader
from nextpass.units import ShownUnits, shown_units
from nextpass.words import LANGUAGES

VIEW_COOKIE = "nextpass-view"
Theme = Literal["auto", "day", "night"]
THEMES: tuple[Theme, ...] = ("auto", "day", "night")
# Between the parts of the cookie; none of its words holds one.
_MARK = "."


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """How one visitor wants to see things."""

    language: str = "en"
    units: ShownUnits = field(default_factory=ShownUnits)
    theme: Theme = "auto"

    def reader(self, barometer_kpa: float = STANDARD_BAROMETER_KPA) -> Reader:
        """The visitor as the reader of a day with that barometer [kPa]."""
        return Reader(language=self.language, units=self.units, barometer_kpa=barometer_kpa)

    def cookie(self) -> str:
        """The view as a cookie holds it."""
        units = self.units
        return _MARK.join((self.language, units.pressure, units.reference, units.speed, self.theme))


def view_of(cookie: str | None, accepted_languages: str = "") -> View:
    """View that a cookie asks for; without one, the browser's language.

    Parameters
    ----------
    cookie : str or None
        As the browser sent it: anything at all.
    accepted_languages : str
        Of the request, such as ``de-AT,de;q=0.9``.

    Returns
    -------
    View
        Words that are not known keep their default.
    """
    view = View(language=_first_language(accepted_languages))
    for word in (cookie or "").split(_MARK):
        if word in LANGUAGES:
            view = replace(view, language=word)
        elif word in THEMES:
            view = replace(view, theme=word)
    return replace(view, units=_units_of((cookie or "").split(_MARK)[1:4]))


def _units_of(words: list[str]) -> ShownUnits:
    try:
        return shown_units(",".join(words))
    except UnitError:
        return ShownUnits()


def _first_language(accepted: str) -> str:
    for entry in accepted.split(","):
        language = entry.split(";")[0].strip().lower().split("-")[0]
        if language in LANGUAGES:
            return language
    return "en"
