"""What a review says, in the reader's words and units: the one source of the PDF, the HTML page and the screen."""

from collections.abc import Mapping
from dataclasses import dataclass, fields

from nextpass.car import Car, Conditions, PassRecord, StripClocks
from nextpass.report.evidence import evidence_shown
from nextpass.report.picture import TracePicture, trace_picture
from nextpass.report.reader import Reader, Shown
from nextpass.review import Finding, ReviewedPass, Severity, Timeslip
from nextpass.words import translated

# Clocks of the strip in the order of the track, then the windows from standstill.
STRIP_CLOCKS = ("t60ft_s", "t330ft_s", "t660ft_s", "v660ft_mps", "t1000ft_s", "et_s", "trap_mps")
WINDOWS = ("t0_60mph_s", "t0_100kmh_s", "t100_200kmh_s")


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipRow:
    """One line of the timeslip; `strip` is what the strip's own clock said, empty where it said nothing."""

    name: str
    label: str
    shown: Shown
    strip: str
    is_main: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingContent:
    """One finding, ready to show; `evidence` are names and figures with unit."""

    code: str
    severity: str
    severity_word: str
    title: str
    where: str
    evidence: tuple[tuple[str, str], ...]
    meaning: str
    next_step: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewContent:
    """Everything that a review shows, in the reader's words and units.

    `level` are the strip's clocks on a level strip in still air, empty where the pass states neither slope nor wind.
    """

    title: str
    car: str
    when: str
    day: str
    notes: str
    slip: tuple[SlipRow, ...]
    windows: tuple[SlipRow, ...]
    level: tuple[SlipRow, ...]
    findings: tuple[FindingContent, ...]
    setup: tuple[tuple[str, str], ...]
    traces: TracePicture
    rests_on: str
    remarks: tuple[str, ...]
    assumed: tuple[tuple[str, str], ...]


def review_content(car: Car, reviewed: ReviewedPass, reader: Reader) -> ReviewContent:
    """Content of the review of one pass.

    Parameters
    ----------
    car : Car
        Whose pass it is.
    reviewed : ReviewedPass
        With its log.
    reader : Reader
        Language, units and barometer.

    Returns
    -------
    ReviewContent
        Ready to lay out.
    """
    record, review = reviewed.record, reviewed.review
    return ReviewContent(
        title=pass_title(record, reader),
        car=car.name,
        when=when_text(record),
        day=conditions_text(record.conditions, reader),
        notes=record.notes,
        slip=slip_rows(review.timeslip, record.clocks, reader, STRIP_CLOCKS),
        windows=slip_rows(review.timeslip, None, reader, WINDOWS),
        level=() if review.corrected is None else slip_rows(review.corrected, None, reader, STRIP_CLOCKS),
        findings=tuple(finding_content(finding, reviewed, reader) for finding in by_weight(review.findings)),
        setup=tuple(
            (reader.adjuster_name(name), str(reader.adjuster_value(name, value)))
            for name, value in record.setup.values.items()
        ),
        traces=trace_picture(reviewed, reader),
        rests_on=_rests_on(reviewed, reader),
        remarks=tuple(translated(line, reader.language) for line in (*reviewed.log.quality.remarks, *review.missing)),
        assumed=tuple(
            (item.key, f"{item.shown}: {translated(item.origin, reader.language)}") for item in review.assumed
        ),
    )


def pass_title(record: PassRecord, reader: Reader) -> str:
    """Name of a pass: its number, or its folder where the driver did not count.

    Parameters
    ----------
    record : PassRecord
        The pass.
    reader : Reader
        For the language.

    Returns
    -------
    str
        Such as ``Pass 3``.
    """
    return reader.says("pass.title", number=pass_number(record))


def pass_number(record: PassRecord) -> str:
    """The driver's count of a pass on its day, or the name of its folder.

    Parameters
    ----------
    record : PassRecord
        The pass.
    """
    return record.folder.name if record.number is None else str(record.number)


def when_text(record: PassRecord) -> str:
    """Day and time of a pass as its file has them, empty where it has none.

    Parameters
    ----------
    record : PassRecord
        The pass.

    Returns
    -------
    str
        ISO 8601 to the minute, in the zone of the strip.
    """
    place = ", ".join(part for part in (record.strip, record.lane) if part)
    time = "" if record.started is None else record.started.strftime("%Y-%m-%d %H:%M")
    return " · ".join(part for part in (time, place) if part)


def conditions_text(day: Conditions, reader: Reader) -> str:
    """Conditions in one line.

    Parameters
    ----------
    day : Conditions
        Of a pass.
    reader : Reader
        For the language.

    Returns
    -------
    str
        Air, barometer, humidity and track. The barometer is absolute whatever the reader wants for boost.
    """
    return reader.says(
        "card.day",
        air=reader.number(day.air_temperature_c, 1),
        pressure=f"{reader.number(day.pressure_kpa, 1)} kPa",
        humidity=reader.number(day.humidity * 100.0),
        track=reader.number(day.track_temperature_c),
    )


def slip_rows(
    slip: Timeslip, clocks: StripClocks | None, reader: Reader, names: tuple[str, ...] = STRIP_CLOCKS
) -> tuple[SlipRow, ...]:
    """Lines of a timeslip.

    Parameters
    ----------
    slip : Timeslip
        As the log shows it.
    clocks : StripClocks or None
        What the strip said.
    reader : Reader
        Language and units.
    names : tuple of str
        Fields to show, in order.

    Returns
    -------
    tuple of SlipRow
        One a name.
    """
    said = _strip_texts(clocks, reader)
    return tuple(
        SlipRow(
            name=name,
            label=reader.says(f"clock.{name}"),
            shown=_translated(reader.clock(name, getattr(slip, name)), reader),
            strip=said.get(name, ""),
            is_main=name == "et_s",
        )
        for name in names
    )


def by_weight(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings, gravest first, in the order of time within one weight.

    Parameters
    ----------
    findings : tuple of Finding
        In any order.

    Returns
    -------
    tuple of Finding
        The same.
    """
    weight = {severity: place for place, severity in enumerate(Severity)}
    return tuple(sorted(findings, key=lambda finding: (weight[finding.severity], finding.start_s)))


def finding_content(finding: Finding, reviewed: ReviewedPass, reader: Reader) -> FindingContent:
    """One finding in the reader's words and units.

    Parameters
    ----------
    finding : Finding
        Of the pass.
    reviewed : ReviewedPass
        For the moment when the car began to move: seconds count from it.
    reader : Reader
        Language and units.

    Returns
    -------
    FindingContent
        Ready to lay out.
    """
    ground = reviewed.review.ground_speed
    zero_s = ground.moved_s if ground is not None else 0.0
    seconds = reader.says(
        "finding.seconds", start=reader.seconds(finding.start_s - zero_s), end=reader.seconds(finding.end_s - zero_s)
    )
    gear = "" if finding.gear is None else reader.says("gear.nth", gear=finding.gear)
    return FindingContent(
        code=finding.code,
        severity=finding.severity.value,
        severity_word=reader.says(f"severity.{finding.severity.value}"),
        title=translated(finding.title, reader.language),
        where=" · ".join(part for part in (gear, seconds) if part),
        evidence=evidence_shown(finding, reader),
        meaning=translated(finding.meaning, reader.language),
        next_step=translated(finding.next_step, reader.language),
    )


def _strip_texts(clocks: StripClocks | None, reader: Reader) -> Mapping[str, str]:
    if clocks is None:
        return {}
    said = {field.name: getattr(clocks, field.name) for field in fields(clocks)}
    return {
        name: reader.speed(value) if name.endswith("_mps") else reader.number(value, 3)
        for name, value in said.items()
        if value is not None
    }


def _translated(shown: Shown, reader: Reader) -> Shown:
    if not shown.reason:
        return shown
    return Shown(value=shown.value, reason=translated(shown.reason, reader.language))


def _rests_on(reviewed: ReviewedPass, reader: Reader) -> str:
    ground = reviewed.review.ground_speed
    if ground is None or not ground.sensors:
        return reader.says("review.rests_on_nothing")
    sensors = ", ".join(reader.says(f"sensor.{sensor.replace(' ', '_')}") for sensor in ground.sensors)
    return reader.says("review.rests_on", sensors=sensors, rate=reader.number(reviewed.log.quality.rate_hz))
