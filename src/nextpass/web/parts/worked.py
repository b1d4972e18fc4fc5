"""A sum of the workbench: what came out in large figures, then every line with how it follows."""

from collections.abc import Sequence
from html import escape

from nextpass.measure import Absent
from nextpass.report import Reader
from nextpass.web.parts.markup import figure, figures
from nextpass.words import NO_FIGURE, translated
from nextpass.workbench import Line, WorkedSum

# More results than this are a table of their own, one row a gear for instance.
_MOST_LARGE = 4


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
    large = ""
    if len(worked.results) <= _MOST_LARGE:
        large = figures([_figure(line, reader, place == 0) for place, line in enumerate(worked.results)])
    cautions = "".join(f"<li>{escape(translated(line, reader.language))}</li>" for line in worked.cautions)
    return (
        f"{large}<div class='scroll'><table class='table worked'>"
        f"{_part(worked.inputs, 'bench.given', reader)}{_part(worked.steps, 'bench.steps', reader)}"
        f"{_part(worked.results, 'bench.results', reader)}</table></div>"
        f"{f'<ul class=plain-list>{cautions}</ul>' if cautions else ''}"
    )


def _figure(line: Line, reader: Reader, is_main: bool) -> str:
    label = _label(line, reader)
    if isinstance(line.value, Absent):
        return figure(label, NO_FIGURE, "", escape(translated(line.value.reason, reader.language)))
    value, unit = _value_and_unit(line.name, line.value.value, reader)
    spread = f"±{_value_and_unit(line.name, line.value.plus_minus, reader)[0]}" if line.value.plus_minus else ""
    return figure(label, value, unit, spread, is_main=is_main)


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
    value, unit = _value_and_unit(line.name, line.value.value, reader)
    spread = f" ±{_value_and_unit(line.name, line.value.plus_minus, reader)[0]}" if line.value.plus_minus else ""
    formula = escape(translated(line.formula, reader.language))
    return (
        f'<tr>{name}<td><b>{escape(value)}</b><span class="soft">{escape(spread)} {escape(unit)}</span></td>'
        f'<td class="left wrap soft formula">{formula}</td></tr>'
    )


def _label(line: Line, reader: Reader) -> str:
    said = translated(line.label, reader.language)
    return said if line.gear is None else f"{said}, {reader.says('gear.nth', gear=line.gear)}"


def _value_and_unit(name: str, value: float, reader: Reader) -> tuple[str, str]:
    _, shown = reader.evidence(name, value)
    figure_text, _, unit = shown.partition(" ")
    return figure_text, unit
