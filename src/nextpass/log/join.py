"""Two logs of one pass as one, each channel on its own clock."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from nextpass.errors import LogError, Where
from nextpass.log.align import align
from nextpass.log.channel import Channel, Gap, Log, LogQuality, Mark
from nextpass.log.hints import LogHints
from nextpass.log.open import NO_HINTS, open_log
from nextpass.measure import Estimate
from nextpass.words import phrase


def open_logs(
    paths: Sequence[Path | str],
    hints: LogHints = NO_HINTS,
    answers: Mapping[str, str] | None = None,
    kept: Path | None = None,
) -> Log:
    """One log from the files of one pass, the later ones aligned to the first.

    Parameters
    ----------
    paths : sequence of Path or str
        At least one.
    hints, answers, kept
        As for `open_log`; the same for every file.

    Raises
    ------
    LogError
        A file cannot be read.
    NotEnoughData
        A file cannot be aligned.
    """
    if not paths:
        raise LogError(phrase("refusal.log.no_log"), Where())
    log, *others = (open_log(path, hints, answers, kept) for path in paths)
    for other in others:
        log = join_logs(log, other)
    return log


def join_logs(first: Log, second: Log, offset_s: Estimate | None = None) -> Log:
    """Both logs on the clock of the first; no value is resampled.

    Parameters
    ----------
    first, second : Log
    offset_s : Estimate, optional
        To be added to the second log's times [s]; found by what both measured where it is not given.

    Returns
    -------
    Log
        Of a channel in both the faster one goes under its name; the other is kept among the unmatched.

    Raises
    ------
    NotEnoughData
        No offset is given, and none stands alone.
    """
    if offset_s is None:
        found = align(first, second)
        offset_s = found.offset_s
        by = phrase("log.join.by", second=found.by[1], first=found.by[0], correlation=found.correlation)
    else:
        by = phrase("log.join.given")
    shift = offset_s.value
    moved = {name: _moved(channel, shift) for name, channel in second.channels.items()}
    channels = dict(first.channels)
    unmatched = {**first.unmatched, **_renamed(second.unmatched, first.unmatched, shift)}
    for name, channel in moved.items():
        if name in channels and channels[name].rate_hz >= channel.rate_hz:
            unmatched[f"{name} (second log)"] = replace(channel, name=f"{name} (second log)")
        elif name in channels:
            unmatched[f"{name} (first log)"] = replace(channels[name], name=f"{name} (first log)")
            channels[name] = channel
        else:
            channels[name] = channel
    remark = phrase("log.join.shifted", shift_s=shift, plus_minus_s=offset_s.plus_minus, by=by)
    return Log(
        channels=channels,
        unmatched=unmatched,
        marks=_marks(first, second, shift),
        quality=_quality(first.quality, second.quality, channels, shift, remark),
        matches=(*first.matches, *second.matches),
        header_key=f"{first.header_key}+{second.header_key}",
    )


def _moved(channel: Channel, shift: float) -> Channel:
    return replace(channel, time_s=channel.time_s + shift)


def _renamed(second: Mapping[str, Channel], first: Mapping[str, Channel], shift: float) -> dict[str, Channel]:
    names = {name: f"{name} (second log)" if name in first else name for name in second}
    return {names[name]: replace(_moved(channel, shift), name=names[name]) for name, channel in second.items()}


def _marks(first: Log, second: Log, shift: float) -> tuple[Mark, ...]:
    moved = tuple(Mark(time_s=mark.time_s + shift, text=mark.text) for mark in second.marks)
    return tuple(sorted((*first.marks, *moved), key=lambda mark: mark.time_s))


def _quality(
    first: LogQuality, second: LogQuality, channels: Mapping[str, Channel], shift: float, remark: str
) -> LogQuality:
    gaps = (*first.gaps, *(Gap(start_s=gap.start_s + shift, end_s=gap.end_s + shift) for gap in second.gaps))
    return LogQuality(
        rate_hz=first.rate_hz,
        gaps=tuple(sorted(gaps, key=lambda gap: gap.start_s)),
        remarks=(remark, *first.remarks, *(phrase("log.join.second", remark=each) for each in second.remarks)),
        rates_hz={name: channel.rate_hz for name, channel in channels.items()},
        jitter_s=first.jitter_s,
    )
