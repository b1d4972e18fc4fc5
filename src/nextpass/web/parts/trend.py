"""A figure of wear over the launches of a season: the passes, the line through them, and the limit."""

from html import escape

from nextpass.health import Drift, FigureTrend
from nextpass.measure import Absent, Estimate
from nextpass.report import Reader, Scale, mark_svg, scale_over, wear_text, wear_unit

# A limit that lies farther off than this many heights of the season's own range would flatten all else.
_LIMIT_REACH = 2.0


def trend_html(trend: FigureTrend, reader: Reader) -> str:
    """One figure with its picture.

    Parameters
    ----------
    trend : FigureTrend
        Of the ledger.
    reader : Reader
        Language and units.

    Returns
    -------
    str
        Markup of a ``figure``.
    """
    unit = wear_unit(trend.name, reader)
    across = scale_over(trend.launches, is_snug=True) if len(trend.launches) > 1 else scale_over((0.0, 2.0))
    up = scale_over(_heights(trend), tick_count=3)
    now = ""
    if isinstance(trend.now, Estimate):
        spread = wear_text(trend.name, trend.now.plus_minus, reader, like=trend.now.plus_minus or _step(up))
        value = wear_text(trend.name, trend.now.value, reader, like=trend.now.plus_minus or _step(up))
        now = f'<b>{escape(value)}</b> <span class="soft">±{escape(spread)} {escape(unit)}</span>'
    state = ""
    if trend.drift is not Drift.DRIFTS:
        mark = mark_svg("note") if trend.drift is Drift.CANNOT_TELL else ""
        state = f'<span class="soft">{mark} {escape(reader.says(f"ledger.drift.{trend.drift.name.lower()}"))}</span>'
    return (
        f'<figure class="trend"><figcaption><span>{escape(reader.says(f"ledger.figure.{trend.name}"))}</span>'
        f'<span class="trend-now">{now}</span>{state}</figcaption>'
        f'<div class="trend-frame">{_levels_html(trend, up, reader)}'
        f'<svg aria-hidden="true" focusable="false">{_shapes(trend, across, up)}</svg></div>'
        f'<div class="trend-foot" aria-hidden="true"><span>{reader.number(trend.launches[0])}</span>'
        f"<span>{escape(reader.says('ledger.launch_count'))}</span><span>{reader.number(trend.launches[-1])}</span></div>"
        "</figure>"
    )


def _step(up: Scale) -> float:
    """What a figure must show to be told from its neighbour on the scale."""
    return 5.0 * (up.ticks[1] - up.ticks[0]) if len(up.ticks) > 1 else 1.0


def _heights(trend: FigureTrend) -> list[float]:
    heights = list(trend.values)
    span = (max(heights) - min(heights)) or abs(heights[0]) or 1.0
    if trend.limit is not None and min(abs(trend.limit - height) for height in heights) <= _LIMIT_REACH * span:
        heights.append(trend.limit)
    return heights


def _levels_html(trend: FigureTrend, up: Scale, reader: Reader) -> str:
    return "".join(
        f'<span class="trend-level" style="bottom:{100.0 * up.at(tick):.1f}%">'
        f"{escape(wear_text(trend.name, tick, reader, like=_step(up)))}</span>"
        for tick in (up.ticks[0], up.ticks[-1])
    )


def _shapes(trend: FigureTrend, across: Scale, up: Scale) -> str:
    def x(launch: float) -> str:
        return f"{2.0 + 96.0 * across.at(launch):.2f}%"

    def y(value: float) -> str:
        return f"{100.0 * (1.0 - up.at(value)):.2f}%"

    points = "".join(
        f'<circle class="trend-point" cx="{x(launch)}" cy="{y(value)}" r="3"/>'
        for launch, value in zip(trend.launches, trend.values, strict=True)
    )
    limit = ""
    if trend.limit is not None and up.low <= trend.limit <= up.high:
        limit = f'<line class="trend-limit" x1="0" x2="100%" y1="{y(trend.limit)}" y2="{y(trend.limit)}"/>'
    line = ""
    if not isinstance(trend.trend, Absent):
        first, last = trend.launches[0], trend.launches[-1]
        kind = "trend-line" if trend.drift is Drift.DRIFTS else "trend-line trend-even"
        line = (
            f'<line class="{kind}" x1="{x(first)}" x2="{x(last)}" '
            f'y1="{y(trend.trend.at(first))}" y2="{y(trend.trend.at(last))}"/>'
        )
    return limit + points + line
