"""The card: the next setup on one page that is dialled in at the car, as PDF and as text.

What stands on it is worked out once, as words and places; the PDF and the text only lay it out. A card never runs over
its page: lists are cut to what fits and say how much was left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from nextpass.car import FUEL, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Adjuster, Car
from nextpass.plan import Change, GuardMargin, Plan
from nextpass.report.picture import Ladder, ladder_of
from nextpass.report.reader import Reader, owner_adjusters
from nextpass.report.review_content import conditions_text
from nextpass.report.setting import step_text
from nextpass.report.typeset import typeset_pages, typeset_pdf
from nextpass.review import Finding, Severity
from nextpass.units import ShownUnits
from nextpass.words import translated

# What fits on an A5 page beside ten gears, found by setting such a page.
_WATCH_LINES = 4
_STOP_LINES = 2
_CAUTION_LINES = 2
_GRAVEST_FIRST = tuple(Severity)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """One value to set; `was` is empty where it stays."""

    label: str
    value: str
    unit: str
    was: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchLine:
    """Something to keep an eye on, with its weight as a word for the shape beside it."""

    severity: str
    text: str
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """One figure of the forecast."""

    label: str
    value: str
    range_text: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardContent:
    """Everything that stands on a card, in the reader's words and units."""

    title: str
    car: str
    day: str
    stops: tuple[WatchLine, ...]
    dials: tuple[Dial, ...]
    own: tuple[Dial, ...]
    ladder: Ladder
    outlook: tuple[Outlook, ...]
    remarks: tuple[str, ...]
    watch: tuple[WatchLine, ...]
    cautions: tuple[str, ...]


def card_pdf(
    car: Car, plan: Plan, shown_units: ShownUnits, language: str = "en", findings: Sequence[Finding] = ()
) -> bytes:
    """The next setup on one A5 page.

    Parameters
    ----------
    car : Car
        Whose adjusters are set.
    plan : Plan
        The next pass.
    shown_units : ShownUnits
        Pressures and speeds as the person wants them.
    language : str
        One of `words.LANGUAGES`.
    findings : sequence of Finding
        Of the newest pass: the gravest stand on the card.

    Returns
    -------
    bytes
        A PDF of one page.
    """
    content = card_content(car, plan, _reader(plan, shown_units, language), findings)
    return typeset_pdf("card.typ", content, language)


def card_png(
    car: Car, plan: Plan, shown_units: ShownUnits, language: str = "en", findings: Sequence[Finding] = ()
) -> bytes:
    """The same card as a picture, for a message to a phone.

    Parameters
    ----------
    car : Car
        Whose adjusters are set.
    plan : Plan
        The next pass.
    shown_units : ShownUnits
        Pressures and speeds as the person wants them.
    language : str
        One of `words.LANGUAGES`.
    findings : sequence of Finding
        Of the newest pass: the gravest stand on the card.

    Returns
    -------
    bytes
        A PNG of 839 by 1191 pixels.
    """
    content = card_content(car, plan, _reader(plan, shown_units, language), findings)
    return typeset_pages("card.typ", content, language)[0]


def card_text(
    car: Car, plan: Plan, shown_units: ShownUnits, language: str = "en", findings: Sequence[Finding] = ()
) -> str:
    """The same card as text, for a terminal or a message to a phone.

    Parameters
    ----------
    car : Car
        Whose adjusters are set.
    plan : Plan
        The next pass.
    shown_units : ShownUnits
        Pressures and speeds as the person wants them.
    language : str
        One of `words.LANGUAGES`.
    findings : sequence of Finding
        Of the newest pass: the gravest stand on the card.

    Returns
    -------
    str
        Lines of at most about 60 characters, without colours.
    """
    reader = _reader(plan, shown_units, language)
    content = card_content(car, plan, reader, findings)
    blocks = [
        [f"{content.title}: {content.car}", content.day],
        [f"!! {line.text}: {line.detail}" for line in content.stops],
        _aligned([(dial.label, f"{dial.value} {dial.unit}".strip(), dial.was) for dial in content.dials]),
        [f"{reader.says('card.ladder')} [{content.ladder.unit}]", *_ladder_lines(content.ladder, reader)],
        _aligned([(dial.label, f"{dial.value} {dial.unit}".strip(), "") for dial in content.own]),
        [
            reader.says("card.forecast"),
            *_aligned([(item.label, f"{item.value} {item.unit}", item.range_text) for item in content.outlook]),
        ],
        [*content.remarks],
        [reader.says("card.watch"), *(f"- {line.text}: {line.detail}" for line in content.watch)]
        if content.watch
        else [],
        [*content.cautions],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def card_content(car: Car, plan: Plan, reader: Reader, findings: Sequence[Finding] = ()) -> CardContent:
    """What stands on the card, in the reader's words and units.

    Parameters
    ----------
    car : Car
        Whose adjusters are set.
    plan : Plan
        The next pass.
    reader : Reader
        Language, units and the barometer of the day.
    findings : sequence of Finding
        Of the newest pass.

    Returns
    -------
    CardContent
        Ready to lay out.
    """
    stops = [finding for finding in findings if finding.severity is Severity.STOP]
    return CardContent(
        title=reader.says("card.title"),
        car=car.name,
        day=conditions_text(plan.conditions, reader),
        stops=tuple(_finding_line(finding, reader) for finding in stops[:_STOP_LINES]),
        dials=tuple(_dial(plan, name, reader) for name in (LAUNCH_RPM, LAUNCH_PRESSURE, SHIFT_RPM, FUEL)),
        own=tuple(
            _dial(plan, adjuster.name, reader)
            for adjuster in owner_adjusters(car.adjusters)
            if _is_planned(adjuster, plan)
        ),
        ladder=ladder_of(plan, car, reader),
        outlook=_outlook(plan, reader),
        remarks=_remarks(plan, reader),
        watch=_watch(plan, findings, reader),
        cautions=(reader.says("caution.advice"), reader.says("caution.closed_course")),
    )


def change_text(change: Change, reader: Reader) -> str:
    """One change in words: what, where, from and to.

    Parameters
    ----------
    change : Change
        Of a plan.
    reader : Reader
        Language and units.

    Returns
    -------
    str
        Such as ``pressure cap gear 3: 2.00 → 2.25 bar abs``.
    """
    return step_text(change.adjuster, change.gear, change.before, change.after, reader)


def nearest_guards(plan: Plan) -> tuple[GuardMargin, ...]:
    """Guards in the order of how little room the pessimistic end leaves them.

    Parameters
    ----------
    plan : Plan
        With its guards.

    Returns
    -------
    tuple of GuardMargin
        Crossed ones first.
    """
    return tuple(sorted(plan.guards, key=lambda guard: (guard.ok, -guard.worst / guard.limit if guard.limit else 0.0)))


def _reader(plan: Plan, shown_units: ShownUnits, language: str) -> Reader:
    return Reader(language=language, units=shown_units, barometer_kpa=plan.conditions.pressure_kpa)


def _is_planned(adjuster: Adjuster, plan: Plan) -> bool:
    return adjuster.kind != "momentary" and adjuster.name in plan.setup.values


def _dial(plan: Plan, name: str, reader: Reader) -> Dial:
    shown = reader.adjuster_value(name, plan.setup.values[name])
    before = plan.newest.values.get(name)
    is_moved = before is not None and before != plan.setup.values[name]
    was = reader.says("card.was", value=reader.adjuster_value(name, before).value) if is_moved and before else ""
    return Dial(label=reader.adjuster_name(name), value=shown.value, unit=shown.unit, was=was)


def _outlook(plan: Plan, reader: Reader) -> tuple[Outlook, ...]:
    forecast = plan.forecast
    times = [
        Outlook(
            label=reader.says(f"clock.{name}"),
            value=reader.seconds(band.median),
            range_text=reader.seconds_range(band.low, band.high),
            unit="s",
        )
        for name, band in (("et_s", forecast.et_s), ("t60ft_s", forecast.t60ft_s), ("t660ft_s", forecast.t660ft_s))
    ]
    trap = forecast.trap_mps
    speed = Outlook(
        label=reader.says("clock.trap_mps"),
        value=reader.speed(trap.median),
        range_text=reader.speed_range(trap.low, trap.high),
        unit=reader.speed_unit,
    )
    return (*times, speed)


def _remarks(plan: Plan, reader: Reader) -> tuple[str, ...]:
    remarks = [
        reader.says("card.repeat", value=reader.seconds(plan.repeat.et_s.median)),
        reader.says("card.limit", value=reader.seconds(plan.limit_et_s.value)),
    ]
    if plan.first_change is not None and len(plan.changes) > 1:
        remarks.append(reader.says("card.first", change=change_text(plan.first_change, reader)))
    remarks += [translated(remark, reader.language) for remark in (plan.tell_apart, plan.teaches) if remark]
    return tuple(remarks)


def _watch(plan: Plan, findings: Sequence[Finding], reader: Reader) -> tuple[WatchLine, ...]:
    open_findings = sorted(
        (finding for finding in findings if finding.severity in (Severity.ACT, Severity.WATCH)),
        key=lambda finding: _GRAVEST_FIRST.index(finding.severity),
    )
    # What the plan says of guards comes last in its order where it weighs most: no setup in reach keeps one.
    lines = [_caution_line(one, reader) for one in reversed(plan.cautions[-_CAUTION_LINES:])]
    # Half the room is kept for guards, which every plan has.
    lines += [_finding_line(finding, reader) for finding in open_findings[: _WATCH_LINES // 2]]
    lines += [_guard_line(guard, reader) for guard in nearest_guards(plan)[: max(_WATCH_LINES - len(lines), 1)]]
    return tuple(lines)


def _caution_line(caution: str, reader: Reader) -> WatchLine:
    return WatchLine(
        severity=Severity.ACT, text=reader.says("card.before_running"), detail=translated(caution, reader.language)
    )


def _finding_line(finding: Finding, reader: Reader) -> WatchLine:
    return WatchLine(
        severity=finding.severity,
        text=translated(finding.title, reader.language),
        detail=translated(finding.next_step, reader.language),
    )


def _guard_line(guard: GuardMargin, reader: Reader) -> WatchLine:
    unit = reader.unit_of(guard.name)
    limit = f"{reader.guard(guard.name, guard.limit)} {unit}".strip()
    return WatchLine(
        severity="guard" if guard.ok else "stop",
        text=reader.says(f"guard.{guard.name}"),
        detail=reader.says("card.guard_line", worst=reader.guard(guard.name, guard.worst), limit=limit),
    )


def _ladder_lines(ladder: Ladder, reader: Reader) -> list[str]:
    return _aligned(
        [
            (
                reader.says("gear.nth", gear=row.gear),
                row.next_text,
                f"{row.change_text}  ({reader.says('card.was', value=row.last_text)})" if row.is_changed else "",
            )
            for row in ladder.rows
        ]
    )


def _aligned(rows: Sequence[tuple[str, str, str]]) -> list[str]:
    if not rows:
        return []
    label_width = max(len(label) for label, _, _ in rows)
    value_width = max(len(value) for _, value, _ in rows)
    return [f"  {label:<{label_width}}  {value:>{value_width}}  {extra}".rstrip() for label, value, extra in rows]
