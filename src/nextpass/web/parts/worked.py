"""A sum of the workbench: what came out in large figures, then every line with how it follows."""

from collections.abc import Sequence
from html import escape

from nextpass.measure import Absent, Estimate
from nextpass.report import Reader
from nextpass.web.parts.markup import figure, figures
from nextpass.web.parts.measured import decimals_of
from nextpass.words import NO_FIGURE, translated
from nextpass.workbench import Line, WorkedSum

# Results that stand in large figures; those of single gears are a table of their own.
_MOST_LARGE = 3
# Lines without a unit in their name that are ratios.
_RATIOS = ("humidity", "ethanol", "duty", "share", "efficiency", "effectiveness", "headroom", "aspect")
# Lines that are a pressure in the manifold, which a reader has in a unit and reference of their own.
_MANIFOLD = ("manifold_pressure", "cap_", "weakest_fuel", "injector_limit", "pump_limit")
_THOUSANDS = {"W": "kW", "J": "kJ"}


def worked_html(worked: WorkedSum, reader: Reader) -> str:
    """The whole sum.

    Parameters
    ----------
    worked : WorkedSum
        As it came out.
    reader : Reader
        Language and units.

    Returns
    -------
    str
        Markup.
    """
    first = [line for line in worked.results if line.gear is None][:_MOST_LARGE]
    large = figures([_figure(line, reader) for line in first]) if first else ""
    cautions = "".join(f"<li>{escape(translated(line, reader.language))}</li>" for line in worked.cautions)
    return (
        f"{large}<div class='scroll'><table class='table worked'>"
        f"{_part(worked.inputs, 'bench.given', reader)}{_part(worked.steps, 'bench.steps', reader)}"
        f"{_part(worked.results, 'bench.results', reader)}</table></div>"
        f"{f'<ul class=plain-list>{cautions}</ul>' if cautions else ''}"
    )


def _figure(line: Line, reader: Reader) -> str:
    label = _label(line, reader)
    if isinstance(line.value, Absent):
        return figure(label, NO_FIGURE, "", escape(translated(line.value.reason, reader.language)))
    value, spread, unit = _shown(line.name, line.value, reader)
    return figure(label, value, unit, spread)


def _part(lines: Sequence[Line], key: str, reader: Reader) -> str:
    if not lines:
        return ""
    rows = "".join(_row(line, reader) for line in lines)
    head = f'<tr class="worked-part"><th scope="rowgroup" colspan="3" class="left">{escape(reader.says(key))}</th></tr>'
    return f"<tbody>{head}{rows}</tbody>"


def _row(line: Line, reader: Reader) -> str:
    name = f'<th scope="row" class="left">{escape(_label(line, reader))}</th>'
    if isinstance(line.value, Absent):
        said = escape(translated(line.value.reason, reader.language))
        return f'<tr>{name}<td>{NO_FIGURE}</td><td class="left wrap soft">{said}</td></tr>'
    value, spread, unit = _shown(line.name, line.value, reader)
    beside = escape(f"{spread} {unit}".strip())
    formula = escape(translated(line.formula, reader.language))
    return (
        f'<tr>{name}<td><b>{escape(value)}</b> <span class="soft">{beside}</span></td>'
        f'<td class="left wrap soft formula">{formula}</td></tr>'
    )


def _label(line: Line, reader: Reader) -> str:
    said = translated(line.label, reader.language)
    return said if line.gear is None else f"{said}, {reader.says('gear.nth', gear=line.gear)}"


def _shown(name: str, measured: Estimate, reader: Reader) -> tuple[str, str, str]:
    """Figure, ± and unit of a line in the reader's units."""
    factor, offset, unit = _units(name, reader)
    value, spread = measured.value * factor + offset, abs(measured.plus_minus * factor)
    decimals = decimals_of(value, spread)
    return reader.number(value, decimals), f"±{reader.number(spread, decimals)}" if spread else "", unit


def _units(name: str, reader: Reader) -> tuple[float, float, str]:
    """What makes the shown value of a line: factor, offset and unit."""
    per_kpa = reader.pressure_value(1.0) - reader.pressure_value(0.0)
    if name.startswith(_MANIFOLD) and name.endswith("_kpa"):
        return per_kpa, reader.pressure_value(0.0), reader.pressure_unit
    if name.endswith("_kpa_gauge"):
        return per_kpa, 0.0, reader.says("unit.gauge", unit=reader.pressure_step_unit)
    if name.endswith("_mps"):
        return 1.0 / reader.speed_mps(1.0), 0.0, reader.speed_unit
    unit = reader.unit_of(name)
    if unit in _THOUSANDS:
        return 1e-3, 0.0, _THOUSANDS[unit]
    if not unit and any(word in name for word in _RATIOS):
        return 100.0, 0.0, "%"
    return 1.0, 0.0, unit
