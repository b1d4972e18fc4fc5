"""A comparison in the reader's words: the verdict, what it rests on, and what would settle it."""

from nextpass.car import AdjusterValue
from nextpass.compare import Comparison, Gain, Group, Verdict
from nextpass.measure import Absent
from nextpass.report.reader import Reader
from nextpass.words import translated

_SOURCES = {"strip": "from_strip", "log": "from_log", "strip and log": "from_both"}
_DECIMALS = 3


def gain_text(gain: Gain, clock: str, reader: Reader) -> str:
    """What was gained on a clock with its ± and unit.

    Parameters
    ----------
    gain : Gain
        On that clock.
    clock : str
        Its name; one that ends in ``_mps`` is a speed.
    reader : Reader
        Language and units.
    """
    if not clock.endswith("_mps"):
        value, plus_minus = gain.gain.value, gain.gain.plus_minus
        return f"{reader.signed(value, _DECIMALS)} ±{reader.number(plus_minus, _DECIMALS)} s"
    factor = 1.0 / reader.speed_mps(1.0)
    value, plus_minus = gain.gain.value * factor, gain.gain.plus_minus * factor
    return f"{reader.signed(value, 2)} ±{reader.number(plus_minus, 2)} {reader.speed_unit}"


def verdict_text(comparison: Comparison, reader: Reader) -> str:
    """The verdict in a few words.

    Parameters
    ----------
    comparison : Comparison
        Of two groups.
    reader : Reader
        Language.
    """
    decisive = comparison.decisive
    verdict = Verdict.CANNOT_TELL if isinstance(decisive, Absent) else decisive.verdict
    return reader.says(f"compare.{verdict.name.lower()}")


def comparison_lines(comparison: Comparison, reader: Reader) -> tuple[str, ...]:
    """What the verdict rests on, a sentence each.

    Parameters
    ----------
    comparison : Comparison
        Of two groups.
    reader : Reader
        Language.
    """
    decisive, day = comparison.decisive, comparison.reference
    if isinstance(decisive, Absent):
        return (translated(decisive.reason, reader.language),)
    settles = []
    if decisive.verdict is Verdict.CANNOT_TELL:
        more = decisive.more_passes
        settles.append(reader.says("compare.no_more") if more is None else reader.says("compare.more", count=more))
    return (
        *settles,
        reader.says(
            "compare.scatter",
            scatter=reader.number(decisive.scatter.value, _DECIMALS),
            count=decisive.first_count + decisive.second_count,
        ),
        reader.says(f"compare.{_SOURCES[comparison.source]}"),
        reader.says(
            "compare.brought_to",
            air=reader.number(day.air_temperature_c, 1),
            pressure=reader.number(day.pressure_kpa, 1),
            track=reader.number(day.track_temperature_c, 1),
            wind=reader.number(day.headwind_mps, 1),
        ),
    )


def group_text(group: Group, change: str | None, reader: Reader) -> str:
    """What a group is called: the value of the adjuster that it was made by, else its own label.

    Parameters
    ----------
    group : Group
        With its passes.
    change : str or None
        An adjuster, or ``adjuster.gear``; None where the groups were made otherwise.
    reader : Reader
        Language and units.
    """
    name, _, gear = (change or "").partition(".")
    value: AdjusterValue | None = group.passes[0].record.setup.values.get(name)
    if value is None:
        return translated(group.label, reader.language)
    label = reader.adjuster_name(name)
    if gear and isinstance(value, tuple):
        label, value = f"{label}, {reader.says('gear.nth', gear=gear)}", value[int(gear) - 1]
    return f"{label} {reader.adjuster_value(name, value)}"
