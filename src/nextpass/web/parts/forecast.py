"""A forecast in large figures, and what must be said of a plan before it is dialled in."""

from html import escape

from nextpass.plan import Band, Forecast, Plan
from nextpass.report import Reader, mark_svg
from nextpass.web.parts.markup import figure
from nextpass.words import translated


def et_figure(forecast: Forecast, label: str, reader: Reader) -> str:
    """The time of a forecast as the main figure of its section, with the band of 9 passes of 10.

    Parameters
    ----------
    forecast : Forecast
        Of any setup.
    label : str
        In the reader's words.
    reader : Reader
        Language and units.

    Returns
    -------
    str
        Markup of one group.
    """
    return seconds_figure(forecast.et_s, label, reader, is_main=True)


def seconds_figure(band: Band, label: str, reader: Reader, *, is_main: bool = False) -> str:
    """A time of a forecast with its band.

    Parameters
    ----------
    band : Band
        Of any setup [s].
    label : str
        In the reader's words.
    reader : Reader
        Language and units.
    is_main : bool
        Whether it is the main figure of its section.

    Returns
    -------
    str
        Markup of one group.
    """
    between = reader.seconds_range(band.low, band.high)
    return figure(label, reader.seconds(band.median), "s", between, is_main=is_main, is_next=is_main)


def clock_figures(forecast: Forecast, reader: Reader) -> list[str]:
    """The 60-foot time and the trap speed of a forecast, each with its band.

    Parameters
    ----------
    forecast : Forecast
        Of any setup.
    reader : Reader
        Language and units.

    Returns
    -------
    list of str
        Markup of one group each.
    """
    trap_mps = forecast.trap_mps
    return [
        seconds_figure(forecast.t60ft_s, reader.says("clock.t60ft_s"), reader),
        figure(
            reader.says("clock.trap_mps"),
            reader.speed(trap_mps.median),
            reader.speed_unit,
            reader.speed_range(trap_mps.low, trap_mps.high),
        ),
    ]


def plan_cautions_html(plan: Plan, reader: Reader) -> str:
    """What a plan says about its guards: it stands above the figures that are dialled in.

    Parameters
    ----------
    plan : Plan
        For the next pass.
    reader : Reader
        For the words.

    Returns
    -------
    str
        Markup; empty where nothing need be said.
    """
    return "".join(
        f'<p class="plan-caution">{mark_svg("act")} <span>{escape(translated(one, reader.language))}</span></p>'
        for one in plan.cautions
    )
