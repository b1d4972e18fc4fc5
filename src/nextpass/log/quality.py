"""What a log can and cannot show: rates, dropouts, jitter, channels that are stuck or clipped."""

from collections.abc import Mapping, Sequence
from functools import reduce

import numpy as np

from nextpass.log.channel import FloatArray, Gap, LogQuality
from nextpass.log.lazy import Recipe
from nextpass.log.order import JITTER_SHARE, gaps_in, jitter_of
from nextpass.log.read import RawLog
from nextpass.log.vocabulary import vocabulary
from nextpass.measure import HALF_WIDTH_90, event_time_sd_s, span_sd_s
from nextpass.words import Phrase, phrase

# A sensor is clipped when it lies at its greatest reading this long at a time, though it moves in most other rows.
CLIPPED_S = 0.25
CLIPPED_ROWS = 5
MOVES_SHARE = 0.5
# A channel below this share of the rows' rate is worth a remark.
SLOWER_SHARE = 0.8


def quality_of(raw: RawLog, recipes: Mapping[str, Recipe], remarks: Sequence[str]) -> LogQuality:
    """Quality of a log whose columns are matched.

    Parameters
    ----------
    raw : RawLog
    recipes : Mapping[str, Recipe]
        Of the matched channels.
    remarks : sequence of str
        What reading and matching noticed; they come first.
    """
    largest = max(raw.tables, key=lambda table: table.time_s.size)
    gaps = gaps_in(largest.time_s)
    jitter_s = jitter_of(largest.time_s)
    rate_hz = _rate_of(largest.time_s)
    noticed = [*raw.remarks, *remarks]
    if rate_hz > 0 and jitter_s * rate_hz > JITTER_SHARE:
        noticed.append(phrase("log.quality.jitter", jitter_ms=1000 * jitter_s, interval_ms=1000 / rate_hz))
    noticed.extend(_gap_remarks(gaps))
    noticed.extend(_channel_remarks(recipes))
    rates_hz = {name: recipe.true_rate_hz() for name, recipe in recipes.items()}
    noticed.extend(rate_remarks(rate_hz, rates_hz))
    return LogQuality(
        rate_hz=rate_hz,
        gaps=gaps,
        remarks=tuple(noticed),
        rates_hz=rates_hz,
        jitter_s=jitter_s,
    )


def rate_remarks(rate_hz: float, rates_hz: Mapping[str, float]) -> list[str]:
    """What the rate of the rows, and of the channels that are slower than them, can still show.

    Parameters
    ----------
    rate_hz : float
        Of the rows [Hz].
    rates_hz : Mapping[str, float]
        Of the true samples of each channel [Hz].
    """
    if rate_hz <= 0:
        return []
    remarks: list[str] = [phrase("log.quality.rate", rate_hz=rate_hz, shows=_shows(rate_hz))]
    slower: dict[float, list[str]] = {}
    for name, own_hz in rates_hz.items():
        if 0 < own_hz < SLOWER_SHARE * rate_hz:
            slower.setdefault(float(f"{own_hz:.2g}"), []).append(name)
    remarks.extend(
        phrase("log.quality.slower", rate_hz=own_hz, names=_listed(names), shows=_shows(own_hz))
        for own_hz, names in sorted(slower.items())
    )
    return remarks


def _listed(names: Sequence[str]) -> Phrase:
    """Channels by the names that people have for them, in the reader's language."""
    said = [phrase(f"channel.{name}") for name in names]
    return reduce(lambda before, one: phrase("log.quality.names", first=before, second=one), said)


def _shows(rate_hz: float) -> Phrase:
    event, span = (1000 * HALF_WIDTH_90 * sd(rate_hz) for sd in (event_time_sd_s, span_sd_s))
    return phrase("log.quality.shows", event_ms=event, span_ms=span)


def _rate_of(time_s: FloatArray) -> float:
    return float(1.0 / np.median(np.diff(time_s))) if time_s.size > 1 else 0.0


def _gap_remarks(gaps: Sequence[Gap]) -> list[Phrase]:
    if not gaps:
        return []
    longest = max(gaps, key=lambda gap: gap.end_s - gap.start_s)
    said = "log.quality.dropouts" if len(gaps) > 1 else "log.quality.dropout"
    return [phrase(said, count=len(gaps), longest_s=longest.end_s - longest.start_s, start_s=longest.start_s)]


def _channel_remarks(recipes: Mapping[str, Recipe]) -> list[str]:
    engine = recipes.get("engine_rpm")
    # At rest everything may stay the same.
    runs = engine is not None and bool(np.nanmax(engine.readings(), initial=0.0) > 0)
    remarks: list[str] = []
    for name, recipe in recipes.items():
        kind = vocabulary().channels[name]
        if not kind.is_lively:
            continue
        read = recipe.readings()
        time_s = recipe.table.time_s
        if runs and _is_stuck(read):
            remarks.append(phrase("log.quality.stuck", column=recipe.source, reading=float(read[0])))
        elif not kind.saturates:
            remarks.extend(_clipped_remark(recipe.source, read, time_s))
    return remarks


def _is_stuck(read: FloatArray) -> bool:
    finite = read[np.isfinite(read)]
    return finite.size > CLIPPED_ROWS and bool((finite == finite[0]).all())


def _clipped_remark(source: str, read: FloatArray, time_s: FloatArray) -> list[str]:
    """A flat top: the greatest reading for a while, in a channel that otherwise moves from row to row."""
    top = float(np.nanmax(read)) if np.isfinite(read).any() else np.nan
    if not top > 0:
        return []
    at_top = read == top
    edges = np.flatnonzero(np.diff(at_top.astype(np.int8), prepend=0, append=0))
    starts, ends = edges[::2], edges[1::2]
    lengths = ends - starts
    longest = int(np.argmax(lengths))
    start, end = int(starts[longest]), int(ends[longest])
    if end - start < CLIPPED_ROWS or time_s[end - 1] - time_s[start] < CLIPPED_S:
        return []
    moves = np.diff(read) != 0
    if float(np.mean(moves)) < MOVES_SHARE:
        return []
    span = {"start_s": float(time_s[start]), "end_s": float(time_s[end - 1])}
    return [phrase("log.quality.clipped", column=source, top=top, **span)]
