"""The keys of a pass file: meaning, unit and range of each, as data.

The four conditions are required; slope and wind are nought where the file leaves them out, as the contract says.
"""

from nextpass.files.keys import Key, Table

PASS = Table(
    name="pass",
    meaning="The pass",
    keys=(
        Key(
            name="number",
            kind="whole",
            meaning="the driver's count on the day",
            example=3,
            low=1,
            high=1000,
            bound="passes of one day",
            required=False,
        ),
        Key(
            name="started",
            kind="moment",
            meaning="local date and time, with the zone where it is known",
            example="2026-05-02T14:10:00+01:00",
            required=False,
        ),
        Key(
            name="log",
            kind="name_or_names",
            meaning="the log beside this file, or a list of several logs of this pass",
            example="log.csv",
            counts=(1, 20),
            field="logs",
        ),
        Key(name="strip", kind="text", meaning="name of the strip", example="Ashby strip", required=False),
        Key(name="lane", kind="text", meaning="as the strip names it", example="left", required=False),
        Key(
            name="notes",
            kind="text",
            meaning="in your own words",
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
            meaning="in the shade",
            example=17.5,
            unit="°C",
            low=-30,
            high=55,
            bound="air where cars run",
        ),
        Key(
            name="pressure_kpa",
            kind="number",
            meaning="station pressure, not reduced to sea level",
            example=100.9,
            unit="kPa",
            low=55,
            high=108,
            bound="air from 5000 m to below the sea",
        ),
        Key(
            name="humidity_pct",
            kind="number",
            meaning="relative humidity",
            example=58,
            unit="%",
            inside="fraction",
            low=0,
            high=100,
            bound="relative humidity",
            field="humidity",
        ),
        Key(
            name="track_temperature_c",
            kind="number",
            meaning="surface of the lane",
            example=27,
            unit="°C",
            low=-30,
            high=90,
            bound="asphalt and concrete in the sun",
        ),
        Key(
            name="slope_pct",
            kind="number",
            meaning="rise over run, uphill positive",
            example=0.0,
            unit="%",
            inside="fraction",
            low=-10,
            high=10,
            bound="strips and test roads",
            field="slope",
            required=False,
        ),
        Key(
            name="headwind_mps",
            kind="number",
            meaning="positive against the car",
            example=0.0,
            unit="m/s",
            low=-30,
            high=30,
            bound="wind in which cars run",
            required=False,
        ),
        Key(
            name="altitude_m",
            kind="number",
            meaning="of the strip: with it the pressure is checked",
            example=120,
            unit="m",
            low=-430,
            high=5000,
            bound="roads of the world",
            required=False,
        ),
    ),
)


def _time(name: str, example: float, low: float, high: float, meaning: str) -> Key:
    return Key(
        name=name,
        kind="number",
        meaning=meaning,
        example=example,
        unit="s",
        low=low,
        high=high,
        bound="cars of this kind",
        required=False,
    )


def _speed(name: str, field: str, example: float, meaning: str) -> Key:
    return Key(
        name=name,
        kind="number",
        meaning=meaning,
        example=example,
        unit="km/h",
        inside="m/s",
        low=20,
        high=600,
        bound="cars of this kind",
        field=field,
        required=False,
    )


TIMESLIP = Table(
    name="timeslip",
    meaning="What the strip's clocks said",
    required=False,
    keys=(
        _time("t60ft_s", 1.82, 0.7, 10, "at 60 ft"),
        _time("t330ft_s", 4.85, 2, 30, "at 330 ft"),
        _time("t660ft_s", 7.31, 3, 45, "at 660 ft"),
        _speed("v660ft_kmh", "v660ft_mps", 155.2, "trap speed before 660 ft"),
        _time("t1000ft_s", 9.45, 3.5, 60, "at 1000 ft"),
        _time("et_s", 11.26, 4, 90, "at 1320 ft"),
        _speed("trap_kmh", "trap_mps", 197.8, "trap speed before 1320 ft"),
    ),
)

# In the order in which a pass file is written; [setup] holds the car's own adjusters.
PASS_TABLES = (PASS, CONDITIONS, TIMESLIP)
SETUP = "setup"
