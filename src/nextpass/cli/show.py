"""Records as text and tables for a terminal, in the units that the user asked for."""

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from nextpass.measure import Absent, Estimate, Measured
from nextpass.report import Reader, by_weight, evidence_shown
from nextpass.review import Finding, LostTime, ReviewedPass, Severity, Timeslip
from nextpass.units import ShownUnits, shown_speed, speed_unit_text

SEVERITY_STYLE = {Severity.STOP: "bold red", Severity.ACT: "bold yellow", Severity.WATCH: "cyan", Severity.NOTE: "dim"}


# What a terminal calls the clocks and windows of a pass.
CLOCKS = {
    "t60ft_s": "60 ft",
    "t330ft_s": "330 ft",
    "t660ft_s": "660 ft",
    "v660ft_mps": "660 ft speed",
    "t1000ft_s": "1000 ft",
    "et_s": "ET, 1320 ft",
    "trap_mps": "trap speed",
    "t0_60mph_s": "0-60 mph",
    "t0_100kmh_s": "0-100 km/h",
    "t100_200kmh_s": "100-200 km/h",
}


def timeslip_table(slips: dict[str, Timeslip], shown: ShownUnits, title: str = "Timeslip") -> Table:
    """Timeslips side by side, one column a pass."""
    table = Table(title=title, title_justify="left", header_style="bold")
    table.add_column("")
    for name in slips:
        table.add_column(name, justify="right")
    for field, label in CLOCKS.items():
        unit = speed_unit_text(shown) if field.endswith("_mps") else "s"
        table.add_row(label, *(measured_text(getattr(slip, field), unit, shown) for slip in slips.values()))
    return table


def lost_time_table(lost: LostTime | Absent) -> RenderableType:
    """Where the time went, the dearest cause first."""
    if isinstance(lost, Absent):
        return Text(f"Where the time went cannot be said: {lost.reason}")
    table = Table("cause", "gear", "lost", title="Where the time went", title_justify="left")
    for one in lost.parts:
        gear = "" if one.gear is None else str(one.gear)
        table.add_row(one.cause, gear, f"{one.seconds.value:.3f} ±{one.seconds.plus_minus:.3f} s")
    table.add_section()
    whole = f"{lost.whole_s.value:.3f} ±{lost.whole_s.plus_minus:.3f} s"
    table.add_row(f"all, against {lost.limit_et_s:.3f} s with perfect traction", "", whole, style="bold")
    return table


def measured_text(measured: Measured, unit: str, shown: ShownUnits) -> str:
    """A value with its ± and unit; a dash where it is absent."""
    match measured:
        case Absent():
            return "-"
        case Estimate(value=value, plus_minus=plus_minus):
            if unit == "s":
                return f"{value:.3f} ±{plus_minus:.3f} s"
            factor = shown_speed(1.0, shown)
            return f"{value * factor:.1f} ±{plus_minus * factor:.1f} {unit}"


def findings_text(findings: tuple[Finding, ...], reader: Reader) -> RenderableType:
    """Findings in order of weight, each with what it means and what to do."""
    if not findings:
        return Text("No findings.")
    parts: list[RenderableType] = []
    for finding in by_weight(findings):
        head = Text()
        head.append(f"{finding.severity.upper():5s} ", style=SEVERITY_STYLE[finding.severity])
        head.append(finding.title, style="bold")
        gear = "" if finding.gear is None else f"  gear {finding.gear}"
        head.append(f"{gear}  {finding.start_s:.2f}-{finding.end_s:.2f} s", style="dim")
        parts.append(head)
        evidence = ", ".join(f"{name} {figure}" for name, figure in evidence_shown(finding, reader))
        for line in (evidence, finding.meaning, f"Next: {finding.next_step}"):
            if line:
                parts.append(Padding(Text(line), (0, 0, 0, 6)))
    return Group(*parts)


def show_review(console: Console, name: str, reviewed: ReviewedPass, shown: ShownUnits) -> None:
    """Print the review of a pass."""
    review = reviewed.review
    slips = {name: review.timeslip}
    if review.corrected is not None:
        slips["level, still air"] = review.corrected
    console.print(timeslip_table(slips, shown))
    for clock in review.strip:
        if not clock.is_explained:
            console.print(
                Text(f"{clock.name}: the strip says {clock.strip:.3f}, the log {clock.log.value:.3f}: is it this pass?")
            )
    for field in Timeslip.__slots__:
        measured = getattr(review.timeslip, field)
        if isinstance(measured, Absent):
            console.print(f"[dim]{CLOCKS[field]}: {measured.reason}[/dim]")
    console.print(
        findings_text(review.findings, Reader(units=shown, barometer_kpa=reviewed.record.conditions.pressure_kpa))
    )
    for line in (*review.missing, *reviewed.log.quality.remarks):
        console.print(Text(line, style="dim"))
    if review.assumed:
        console.print(
            Text("Assumed: " + ", ".join(f"{item.key} = {item.shown}" for item in review.assumed), style="dim")
        )
