"""A figure over the passes of a season: the passes, the line through them where there is one, and the limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from nextpass.health import Drift, FigureTrend
from nextpass.measure import Absent, Estimate
from nextpass.report.picture.mark import mark_svg
from nextpass.report.picture.scale import Scale, scale_over
from nextpass.report.reader import Reader
from nextpass.report.season import wear_text, wear_unit

# A limit that lies farther off than this many heights of the season's own range would flatten all else.
_LIMIT_REACH = 2.0
# Room right and left of the outermost passes, as a share of the frame.
_MARGIN = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendPicture:
    """One figure; places are fractions 0..1 of the frame from its lower left corner.

    Parameters
    ----------
    label : str
        Of the figure.
    now, spread : str
        Its newest value, and ± with the unit; empty where it is not known.
    state : str
        What is said beside a figure that does not drift; empty where it does.
    is_untold : bool
        Whether it takes more passes to tell.
    points : tuple of (float, float)
        One a pass.
    line : tuple of (float, float)
        Beginning and end of the line through them; empty without one.
    is_drift : bool
        Whether the line says something.
    limit : float or None
        Height of the limit.
    levels : tuple of (float, str)
        Heights that the scale names.
    first, middle, last : str
        Below the frame.
    """

    label: str
    now: str
    spread: str
    state: str
    is_untold: bool
    points: tuple[tuple[float, float], ...]
    line: tuple[tuple[float, float], ...]
    is_drift: bool
    limit: float | None
    levels: tuple[tuple[float, str], ...]
    first: str
    middle: str
    last: str


def trend_picture(trend: FigureTrend, reader: Reader) -> TrendPicture:
    """Picture of a figure of wear over the launches.

    Parameters
    ----------
    trend : FigureTrend
        Of the ledger.
    reader : Reader
        Language and units.
    """
    across, up = _across(trend.launches), scale_over(_heights(trend), tick_count=3)
    now = spread = ""
    if isinstance(trend.now, Estimate):
        like = trend.now.plus_minus or _step(up)
        now = wear_text(trend.name, trend.now.value, reader, like=like)
        spread = f"±{wear_text(trend.name, trend.now.plus_minus, reader, like=like)} {wear_unit(trend.name, reader)}"
    label, unit = reader.says(f"ledger.figure.{trend.name}"), wear_unit(trend.name, reader)
    if not now and unit:
        # Without a newest value to carry it, the unit of the scale stands with the name.
        label = f"{label} [{unit}]"
    line: tuple[tuple[float, float], ...] = ()
    if not isinstance(trend.trend, Absent):
        ends = (trend.launches[0], trend.launches[-1])
        line = tuple((_place(across, end), up.at(trend.trend.at(end))) for end in ends)
    is_drift = trend.drift is Drift.DRIFTS
    return TrendPicture(
        label=label,
        now=now,
        spread=spread,
        state="" if is_drift else reader.says(f"ledger.drift.{trend.drift.name.lower()}"),
        is_untold=trend.drift is Drift.CANNOT_TELL,
        points=_points(trend.launches, trend.values, across, up),
        line=line,
        is_drift=is_drift,
        limit=up.at(trend.limit) if trend.limit is not None and up.low <= trend.limit <= up.high else None,
        levels=tuple(
            (up.at(tick), wear_text(trend.name, tick, reader, like=_step(up))) for tick in (up.ticks[0], up.ticks[-1])
        ),
        first=reader.number(trend.launches[0]),
        middle=reader.says("ledger.launch_count"),
        last=reader.number(trend.launches[-1]),
    )


def passes_picture(
    label: str, counts: Sequence[float], values: Sequence[float], middle: str, reader: Reader
) -> TrendPicture:
    """Picture of a value of each pass over their count, without any line.

    Parameters
    ----------
    label : str
        Of the value, with its unit.
    counts, values : sequence of float
        Of the same passes, one at least.
    middle : str
        What is counted.
    reader : Reader
        Language.
    """
    across, up = _across(counts), scale_over(values, tick_count=3)
    return TrendPicture(
        label=label,
        now="",
        spread="",
        state="",
        is_untold=False,
        points=_points(counts, values, across, up),
        line=(),
        is_drift=False,
        limit=None,
        levels=tuple((up.at(tick), reader.number(tick, max(up.decimals, 1))) for tick in (up.ticks[0], up.ticks[-1])),
        first=reader.number(counts[0]),
        middle=middle,
        last=reader.number(counts[-1]),
    )


def trend_html(picture: TrendPicture) -> str:
    """One figure with its picture as HTML.

    Parameters
    ----------
    picture : TrendPicture
        What to draw.

    Returns
    -------
    str
        Markup of a ``figure``; classes are those of ``picture.css``.
    """
    now = f'<b>{escape(picture.now)}</b> <span class="soft">{escape(picture.spread)}</span>' if picture.now else ""
    mark = mark_svg("note") if picture.is_untold else ""
    state = f'<span class="soft">{mark} {escape(picture.state)}</span>' if picture.state else ""
    levels = "".join(
        f'<span class="trend-level" style="bottom:{100.0 * height:.1f}%">{escape(said)}</span>'
        for height, said in picture.levels
    )
    return (
        f'<figure class="trend"><figcaption><span>{escape(picture.label)}</span>'
        f'<span class="trend-now">{now}</span>{state}</figcaption>'
        f'<div class="trend-frame">{levels}<svg aria-hidden="true" focusable="false">{_shapes(picture)}</svg></div>'
        f'<div class="trend-foot" aria-hidden="true"><span>{picture.first}</span>'
        f"<span>{escape(picture.middle)}</span><span>{picture.last}</span></div></figure>"
    )


def _across(counts: Sequence[float]) -> Scale:
    return scale_over(counts, is_snug=True) if len(counts) > 1 else scale_over((0.0, 2.0))


def _place(across: Scale, count: float) -> float:
    return _MARGIN + (1.0 - 2.0 * _MARGIN) * across.at(count)


def _points(
    counts: Sequence[float], values: Sequence[float], across: Scale, up: Scale
) -> tuple[tuple[float, float], ...]:
    return tuple((_place(across, count), up.at(value)) for count, value in zip(counts, values, strict=True))


def _step(up: Scale) -> float:
    """What a figure must show to be told from its neighbour on the scale."""
    return 5.0 * (up.ticks[1] - up.ticks[0]) if len(up.ticks) > 1 else 1.0


def _heights(trend: FigureTrend) -> list[float]:
    heights = list(trend.values)
    span = (max(heights) - min(heights)) or abs(heights[0]) or 1.0
    if trend.limit is not None and min(abs(trend.limit - height) for height in heights) <= _LIMIT_REACH * span:
        heights.append(trend.limit)
    return heights


def _shapes(picture: TrendPicture) -> str:
    def x(place: float) -> str:
        return f"{100.0 * place:.2f}%"

    def y(height: float) -> str:
        return f"{100.0 * (1.0 - height):.2f}%"

    points = "".join(
        f'<circle class="trend-point" cx="{x(place)}" cy="{y(height)}" r="3"/>' for place, height in picture.points
    )
    limit = line = ""
    if picture.limit is not None:
        limit = f'<line class="trend-limit" x1="0" x2="100%" y1="{y(picture.limit)}" y2="{y(picture.limit)}"/>'
    if picture.line:
        (first, low), (last, high) = picture.line
        kind = "trend-line" if picture.is_drift else "trend-line trend-even"
        line = f'<line class="{kind}" x1="{x(first)}" x2="{x(last)}" y1="{y(low)}" y2="{y(high)}"/>'
    return limit + points + line
