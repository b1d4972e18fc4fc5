"""What an address asks for beside its path, and the links to passes that answers name."""

from collections.abc import Callable
from html import escape

from fastapi import Request

from nextpass.errors import SettingError, Where
from nextpass.jobs import pass_name
from nextpass.web.visit import Visit
from nextpass.words import phrase

_MOST_PASSES = 60


def numbers_in(request: Request, name: str) -> tuple[int, ...]:
    """Counts of passes under a name, each ``3`` or ``3,4,7``.

    Parameters
    ----------
    request : Request
        Of the page.
    name : str
        In the address.

    Returns
    -------
    tuple of int
        In the order given.

    Raises
    ------
    SettingError
        Something else than a count, or too many.
    """
    words = [word.strip() for text in request.query_params.getlist(name) for word in text.split(",") if word.strip()]
    for word in words:
        if not word.isdecimal() or len(word) > 7:
            raise SettingError(
                phrase("refusal.web.no_count", word=word), Where(key=name), phrase("refusal.web.write_counts")
            )
    if len(words) > _MOST_PASSES:
        raise SettingError(
            phrase("refusal.web.many_passes", most=_MOST_PASSES), Where(key=name), phrase("refusal.web.give_fewer")
        )
    return tuple(int(word) for word in words)


def pass_namer(visit: Visit) -> Callable[[str], str]:
    """Gives the link to a pass of the car by the name that answers call it by.

    Parameters
    ----------
    visit : Visit
        Of the page.
    """
    known = {pass_name(one): one for one in visit.desk.passes(visit.kept)}

    def named(name: str) -> str:
        one = known.get(name)
        if one is None:
            return escape(name)
        said = visit.says("pass.title", number=one.number if one.number is not None else one.sequence)
        return f'<a href="{visit.path(f"/pass/{one.sequence}")}">{escape(said)}</a>'

    return named
