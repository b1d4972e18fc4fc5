"""The keys of a pass file: unit and range of each, as data; what each means stands with the words.

The four conditions are required; slope and wind are nought where the file leaves them out, as the contract says.
"""

from nextpass.files.keys import Key, Table
from nextpass.words import phrase

PASS = Table(
    name="pass",
    meaning="The pass",
    keys=(
        Key(
            name="number",
            kind="whole",
            meaning=phrase("file_key.pass.number"),
            example=3,
            low=1,
            high=1000,
            bound=phrase("file_key.bound.passes_of_a_day"),
            required=False,
        ),
        Key(
            name="started",
            kind="moment",
            meaning=phrase("file_key.pass.started"),
            example="2026-05-02T14:10:00+01:00",
            required=False,
        ),
        Key(
            name="log",
            kind="name_or_names",
            meaning=phrase("file_key.pass.log"),
            example="log.csv",
            counts=(1, 20),
            field="logs",
        ),
        Key(name="strip", kind="text", meaning=phrase("file_key.pass.strip"), example="Ashby strip", required=False),
        Key(name="lane", kind="text", meaning=phrase("file_key.pass.lane"), example="left", required=False),
        Key(
            name="notes",
            kind="text",
            meaning=phrase("file_key.pass.notes"),
            example="cloud cover, second lane",
            required=False,
            may_be_empty=True,
        ),
    ),
)

CONDITIONS = Table(
    name="conditions",
    meaning="Air and track at the time of the pass",
    keys=(
        Key(
            name="air_temperature_c",
            kind="number",
            meaning=phrase("file_key.conditions.air_temperature_c"),
            example=17.5,
            unit="°C",
            low=-30,
            high=55,
            bound=phrase("file_key.bound.air"),
        ),
        Key(
            name="pressure_kpa",
            kind="number",
            meaning=phrase("file_key.conditions.pressure_kpa"),
            example=100.9,
            unit="kPa",
            low=55,
            high=108,
            bound=phrase("file_key.bound.air_by_height"),
        ),
        Key(
            name="humidity_pct",
            kind="number",
            meaning=phrase("file_key.conditions.humidity_pct"),
            example=58,
            unit="%",
            inside="fraction",
            low=0,
            high=100,
            bound=phrase("file_key.bound.humidity"),
            field="humidity",
        ),
        Key(
            name="track_temperature_c",
            kind="number",
            meaning=phrase("file_key.conditions.track_temperature_c"),
            example=27,
            unit="°C",
            low=-30,
            high=90,
            bound=phrase("file_key.bound.surfaces"),
        ),
        Key(
            name="slope_pct",
            kind="number",
            meaning=phrase("file_key.conditions.slope_pct"),
            example=0.0,
            unit="%",
            inside="fraction",
            low=-10,
            high=10,
            bound=phrase("file_key.bound.strips"),
            field="slope",
            required=False,
        ),
        Key(
            name="headwind_mps",
            kind="number",
            meaning=phrase("file_key.conditions.headwind_mps"),
            example=0.0,
            unit="m/s",
            low=-30,
            high=30,
            bound=phrase("file_key.bound.wind"),
            required=False,
        ),
        Key(
            name="altitude_m",
            kind="number",
            meaning=phrase("file_key.conditions.altitude_m"),
            example=120,
            unit="m",
            low=-430,
            high=5000,
            bound=phrase("file_key.bound.roads"),
            required=False,
        ),
    ),
)


def _time(name: str, example: float, low: float, high: float) -> Key:
    return Key(
        name=name,
        kind="number",
        meaning=phrase(f"file_key.timeslip.{name}"),
        example=example,
        unit="s",
        low=low,
        high=high,
        bound=phrase("file_key.bound.this_kind"),
        required=False,
    )


def _speed(name: str, field: str, example: float) -> Key:
    return Key(
        name=name,
        kind="number",
        meaning=phrase(f"file_key.timeslip.{name}"),
        example=example,
        unit="km/h",
        inside="m/s",
        low=20,
        high=600,
        bound=phrase("file_key.bound.this_kind"),
        field=field,
        required=False,
    )


TIMESLIP = Table(
    name="timeslip",
    meaning="What the strip's clocks said",
    required=False,
    keys=(
        _time("t60ft_s", 1.82, 0.7, 10),
        _time("t330ft_s", 4.85, 2, 30),
        _time("t660ft_s", 7.31, 3, 45),
        _speed("v660ft_kmh", "v660ft_mps", 155.2),
        _time("t1000ft_s", 9.45, 3.5, 60),
        _time("et_s", 11.26, 4, 90),
        _speed("trap_kmh", "trap_mps", 197.8),
    ),
)

# In the order in which a pass file is written; [setup] holds the car's own adjusters.
PASS_TABLES = (PASS, CONDITIONS, TIMESLIP)
SETUP = "setup"
