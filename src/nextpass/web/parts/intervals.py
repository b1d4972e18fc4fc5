"""What was gained, piece by piece: the estimate and its 90 % interval over one scale about nothing gained."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from nextpass.compare import Comparison, Gain, Stretch
from nextpass.measure import Absent
from nextpass.report import Reader, Scale, gain_text, scale_over
from nextpass.words import translated

# No figure is surer than this: the model behind it is not.
_SUREST_PERCENT = 99.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GainRow:
    """One clock or stretch: its name, and the gain on it or why there is none."""

    label: str
    gain: Gain | Absent
    is_main: bool = False


def clock_rows(comparison: Comparison, reader: Reader) -> list[GainRow]:
    """Rows of the clocks that are times.

    Parameters
    ----------
    comparison : Comparison
        Of two groups.
    reader : Reader
        Language.
    """
    return [
        GainRow(label=reader.says(f"clock.{name}"), gain=gain, is_main=name == comparison.deciding)
        for name, gain in comparison.clocks.items()
        if name.endswith("_s")
    ]


def stretch_rows(stretches: Sequence[Stretch], reader: Reader, by_gear: bool) -> list[GainRow]:
    """Rows of the stretches from beam to beam, or of those that each gear covers.

    Parameters
    ----------
    stretches : sequence of Stretch
        Of a comparison.
    reader : Reader
        Language.
    by_gear : bool
        Which of the two.
    """
    rows = []
    for one in stretches:
        if (one.gear is not None) is not by_gear:
            continue
        metres = reader.says("compare.metres", start=reader.number(one.start_m), end=reader.number(one.end_m))
        label = metres if one.gear is None else f"{reader.says('gear.nth', gear=one.gear)}, {metres}"
        rows.append(GainRow(label=label, gain=one.gain))
    return rows


def gains_html(rows: Sequence[GainRow], heading: str, reader: Reader) -> str:
    """Picture of gains [s] as a table with a fluid line in each row; a gain lies right of the middle line.

    Parameters
    ----------
    rows : sequence of GainRow
        In the order to show.
    heading : str
        What the first column holds.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup.
    """
    ends = [end for row in rows if isinstance(row.gain, Gain) for end in (row.gain.gain.low, row.gain.gain.high)]
    reach = max((abs(end) for end in ends), default=0.1)
    scale = scale_over((-reach, reach), tick_count=5)
    grid = "".join(
        f'<line class="{"zero" if abs(tick) < 1e-9 else "grid"}" x1="{_pct(scale, tick)}" x2="{_pct(scale, tick)}" '
        'y2="100%"/>'
        for tick in scale.ticks
    )
    body = "".join(_row_html(row, grid, scale, reader) for row in rows)
    ticks = "".join(
        f'<span{kind} style="left:{_pct(scale, tick)}">{escape(figure)}</span>'
        for tick, figure, kind in _labels(scale, reader)
    )
    heads = (
        f'<th scope="col" class="left">{escape(heading)}</th><th scope="col" class="gain-track">'
        f'<span class="gain-ends"><span>{escape(reader.says("compare.slower"))}</span>'
        f"<span>{escape(reader.says('compare.quicker'))}</span></span></th>"
        f'<th scope="col">{escape(reader.says("compare.gained"))}</th>'
        f'<th scope="col" class="hide-small">{escape(reader.says("compare.likely"))}</th>'
    )
    return (
        f'<table class="table gains"><thead><tr>{heads}</tr></thead><tbody>{body}'
        f'<tr class="gain-scale" aria-hidden="true"><td></td><td class="gain-track"><span class="band-ticks">{ticks}'
        "</span></td><td>s</td><td class=hide-small></td></tr></tbody></table>"
    )


def _row_html(row: GainRow, grid: str, scale: Scale, reader: Reader) -> str:
    name = f'<th scope="row" class="left">{escape(row.label)}</th>'
    if isinstance(row.gain, Absent):
        reason = escape(translated(row.gain.reason, reader.language))
        return f'<tr>{name}<td colspan="3" class="left soft">{reason}</td></tr>'
    gain = row.gain.gain
    # An interval that leaves the middle line out is drawn full: it is a gain or a loss for itself.
    kind = "sure" if gain.low > 0.0 or gain.high < 0.0 else "open"
    middle, width = _pct(scale, gain.value), 100.0 * (scale.at(gain.high) - scale.at(gain.low))
    shape = (
        f'<rect class="gain-{kind}" x="{_pct(scale, gain.low)}" width="{width:.2f}%" '
        f'y="30%" height="40%"/><line class="gain-middle" x1="{middle}" x2="{middle}" y1="14%" y2="86%"/>'
    )
    value, _, rest = gain_text(row.gain, "_s", reader).partition(" ")
    percent = escape(percent_text(row.gain.probability, reader))
    return (
        f"<tr{' class=chosen' if row.is_main else ''}>{name}"
        f'<td class="gain-track"><svg class="bands" aria-hidden="true" focusable="false">{grid}{shape}</svg></td>'
        f'<td><b>{escape(value)}</b> <span class="soft">{escape(rest)}</span></td>'
        f'<td class="hide-small">{percent} %</td></tr>'
    )


def percent_text(probability: float, reader: Reader) -> str:
    """A probability in percent that never claims to be sure.

    Parameters
    ----------
    probability : float
        0 to 1.
    reader : Reader
        Language.

    Returns
    -------
    str
        Without its unit.
    """
    percent = 100.0 * probability
    if percent > _SUREST_PERCENT:
        return f"> {reader.number(_SUREST_PERCENT)}"
    if percent < 100.0 - _SUREST_PERCENT:
        return f"< {reader.number(100.0 - _SUREST_PERCENT)}"
    return reader.number(percent)


def _pct(scale: Scale, value: float) -> str:
    return f"{100.0 * scale.at(value):.2f}%"


def _labels(scale: Scale, reader: Reader) -> Iterator[tuple[float, str, str]]:
    """Ticks with their figures; on a phone there is room for the ends and the middle."""
    for place, tick in enumerate(scale.ticks):
        if abs(tick) < 1e-9:
            yield tick, "0", ""
        else:
            is_end = place in (0, len(scale.ticks) - 1)
            yield tick, reader.signed(tick, max(scale.decimals, 2)), "" if is_end else ' class="hide-small"'
