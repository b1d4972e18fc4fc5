"""Units that people read and write, and their conversion to the one unit that the program uses inside.

A unit word such as ``km/h``, ``°F``, ``psig`` or ``U/min`` is looked up by its spelling. One word may mean units of
several quantities (``g`` is an acceleration or a mass), so the reader says which quantity it wants. A pressure word
may also say what it counts from: `Unit.reference` is empty where it does not, and then nobody may assume it here.
"""

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nextpass.errors import UnitError
from nextpass.words import phrase

Reference = Literal["", "absolute", "gauge"]

# Exact by definition: international foot, mile, nautical mile and pound; standard gravity; conventional mercury.
FOOT_M = 0.3048
MILE_M = 1609.344
KNOT_MPS = 1852.0 / 3600.0
GRAVITY_MPS2 = 9.80665
POUND_KG = 0.45359237
PSI_KPA = POUND_KG * GRAVITY_MPS2 / 0.0254**2 / 1000.0
MMHG_KPA = 0.133322387415
POUND_FOOT_NM = POUND_KG * GRAVITY_MPS2 * FOOT_M
US_GALLON_L = 3.785411784


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit of one quantity: canonical value = value * scale + offset, or its inverse.

    Parameters
    ----------
    name : str
        As shown to people.
    quantity : str
        One of `CANONICAL`.
    scale, offset : float
        Conversion to the canonical unit of the quantity; `scale` is nan where the word alone does not fix it (an
        air-fuel ratio without its stoichiometry).
    is_inverse : bool
        The canonical value is one over the converted value (equivalence ratio and lambda).
    reference : {"", "absolute", "gauge"}
        Of a pressure: what the word says it counts from.
    zero_kpa : float
        Of a gauge pressure: the absolute pressure that it counts from [kPa], where the word says it; nan means the
        air around.
    """

    name: str
    quantity: str
    scale: float
    offset: float = 0.0
    is_inverse: bool = False
    reference: Reference = ""
    zero_kpa: float = math.nan

    def __str__(self) -> str:
        zero = f"@{self.zero_kpa:g}" if math.isfinite(self.zero_kpa) else ""
        return f"{self.name} {self.reference}{zero}" if self.reference else self.name

    def to_canonical(self, values: ArrayLike) -> NDArray[np.float64]:
        """Values in the canonical unit of the quantity; a gauge pressure stays gauge."""
        array = np.asarray(values, dtype=np.float64)
        if self.is_inverse:
            with np.errstate(divide="ignore"):
                return np.asarray(1.0 / (array * self.scale + self.offset))
        if self.scale == 1.0 and self.offset == 0.0:
            return array
        return np.asarray(array * self.scale + self.offset)


# The unit inside the program of each quantity, as it stands at the end of a channel's name.
CANONICAL: Mapping[str, str] = {
    "rotation": "rpm",
    "speed": "mps",
    "acceleration": "mps2",
    "pressure": "kpa",
    "temperature": "c",
    "ratio": "",
    "angle": "deg",
    "turn_rate": "degps",
    "torque": "nm",
    "voltage": "v",
    "current": "a",
    "mass_flow": "kgps",
    "volume_flow": "lph",
    "mixture": "",
    "time": "s",
    "length": "m",
    "mass": "kg",
    "power": "kw",
    "force": "n",
    "energy": "j",
    "volume": "l",
    "frequency": "hz",
    "state": "",
}

# quantity: {shown name: (scale, offset, spellings)}; spellings as `_spelling` leaves them.
_UNITS: Mapping[str, Mapping[str, tuple[float, float, str]]] = {
    "rotation": {
        "rpm": (1.0, 0.0, "rpm 1/min min1 u/min umin rev/min r/min revs/min upm minus1min 1/minute tr/min"),
        "1000 rpm": (1000.0, 0.0, "krpm rpmx1000 x1000rpm 1000rpm rpm/1000"),
        "rad/s": (30.0 / math.pi, 0.0, "rad/s rads radps rad/sec 1/s"),
        "rev/s": (60.0, 0.0, "rev/s rps hz"),
    },
    "speed": {
        "m/s": (1.0, 0.0, "m/s mps ms1 m/sec meter/s"),
        "km/h": (1 / 3.6, 0.0, "km/h kmh kph kmph km/hr km/std kmh1 kilometersperhour"),
        "mph": (MILE_M / 3600.0, 0.0, "mph mi/h miles/h mile/h mi/hr milesperhour"),
        "kn": (KNOT_MPS, 0.0, "kn kt kts knot knots knoten"),
        "ft/s": (FOOT_M, 0.0, "ft/s fps ft/sec"),
        "cm/s": (0.01, 0.0, "cm/s"),
    },
    "acceleration": {
        "m/s2": (1.0, 0.0, "m/s2 m/s/s mps2 m/ss ms2 m/sec2"),
        "g": (GRAVITY_MPS2, 0.0, "g gs gee gforce gn"),
        "mg": (GRAVITY_MPS2 / 1000.0, 0.0, "mg"),
        "ft/s2": (FOOT_M, 0.0, "ft/s2 fps2 ft/s/s"),
    },
    "pressure": {
        "kPa": (1.0, 0.0, "kpa kilopascal"),
        "bar": (100.0, 0.0, "bar bars"),
        "mbar": (0.1, 0.0, "mbar millibar"),
        "hPa": (0.1, 0.0, "hpa"),
        "Pa": (0.001, 0.0, "pa pascal"),
        "MPa": (1000.0, 0.0, "mpa"),
        "psi": (PSI_KPA, 0.0, "psi lb/in2 lbs/in2 lbf/in2 lbs psix"),
        "inHg": (25.4 * MMHG_KPA, 0.0, "inhg inhg0c inchhg"),
        "mmHg": (MMHG_KPA, 0.0, "mmhg torr"),
        "kgf/cm2": (98.0665, 0.0, "kgf/cm2 kg/cm2 kp/cm2 kg/cm"),
        "atm": (101.325, 0.0, "atm"),
    },
    "temperature": {
        "°C": (1.0, 0.0, "degc c celsius degcelsius centigrade gradc"),
        "°F": (5 / 9, -160 / 9, "degf f fahrenheit degfahrenheit"),
        "K": (1.0, -273.15, "k kelvin degk"),
    },
    "ratio": {
        "%": (0.01, 0.0, "% pct percent prozent perc proz %dc %vol vol%"),
        "fraction": (1.0, 0.0, "fraction ratio 1 01 0..1"),
        "‰": (0.001, 0.0, "‰ permille"),
    },
    "angle": {
        "deg": (
            1.0,
            0.0,
            "deg degrees degree grad ° degbtdc btdc degca ca degcrk crk crkdeg kw degkw gradkw gradkurbelwelle degvot "
            "vot dega",
        ),
        "rad": (180.0 / math.pi, 0.0, "rad radians"),
    },
    "turn_rate": {
        "deg/s": (1.0, 0.0, "deg/s deg/sec degps dps grad/s degs"),
        "rad/s": (180.0 / math.pi, 0.0, "rad/s rad/sec radps"),
    },
    "torque": {
        "Nm": (1.0, 0.0, "nm newtonmeter newtonmetre"),
        "lb-ft": (POUND_FOOT_NM, 0.0, "lbft ftlb ftlbs lbsft ftlbf lbfft lb/ft ft/lb ft/lbs"),
        "kgf m": (GRAVITY_MPS2, 0.0, "kgfm kgm kpm mkp"),
        "kNm": (1000.0, 0.0, "knm"),
    },
    "voltage": {"V": (1.0, 0.0, "v volt volts vdc"), "mV": (0.001, 0.0, "mv millivolt")},
    "current": {"A": (1.0, 0.0, "a amp amps ampere"), "mA": (0.001, 0.0, "ma")},
    "mass_flow": {
        "kg/s": (1.0, 0.0, "kg/s"),
        "g/s": (0.001, 0.0, "g/s gps g/sec gm/s gr/s grams/s"),
        "kg/h": (1 / 3600.0, 0.0, "kg/h kgh kg/hr kg/std"),
        "lb/min": (POUND_KG / 60.0, 0.0, "lb/min lbs/min lbmin"),
    },
    "volume_flow": {
        "l/h": (1.0, 0.0, "l/h lph l/hr l/std"),
        "cc/min": (0.06, 0.0, "cc/min ccm cm3/min ml/min"),
        "l/min": (60.0, 0.0, "l/min lpm"),
        "gal/h": (US_GALLON_L, 0.0, "gal/h gph gal/hr"),
    },
    "mixture": {
        "lambda": (1.0, 0.0, "lambda la λ lam lambdaratio fraction ratio 1"),
        "AFR": (math.nan, 0.0, "afr a/f a:f air/fuel :1 afrratio kg/kg"),
        "equivalence ratio": (1.0, 0.0, "phi φ eqr eqratio"),
    },
    "time": {
        "s": (1.0, 0.0, "s sec secs second seconds sek sekunden"),
        "ms": (1e-3, 0.0, "ms msec millisecond milliseconds millis millisekunden"),
        "µs": (1e-6, 0.0, "us µs usec microseconds micros mikrosekunden"),
        "ns": (1e-9, 0.0, "ns nsec nanoseconds"),
        "min": (60.0, 0.0, "min minutes minuten"),
        "h": (3600.0, 0.0, "h hr hours std"),
    },
    "length": {
        "m": (1.0, 0.0, "m meter meters metre metres"),
        "km": (1000.0, 0.0, "km"),
        "ft": (FOOT_M, 0.0, "ft feet foot"),
        "mi": (MILE_M, 0.0, "mi mile miles"),
        "mm": (0.001, 0.0, "mm"),
        "cm": (0.01, 0.0, "cm"),
        "in": (0.0254, 0.0, "in inch inches"),
    },
    "mass": {
        "kg": (1.0, 0.0, "kg"),
        "g": (0.001, 0.0, "g grams"),
        "mg": (1e-6, 0.0, "mg"),
        "lb": (POUND_KG, 0.0, "lb"),
    },
    "power": {
        "kW": (1.0, 0.0, "kw kilowatt"),
        "hp": (0.55 * POUND_KG * GRAVITY_MPS2 * FOOT_M, 0.0, "hp bhp whp"),
        "PS": (0.075 * GRAVITY_MPS2, 0.0, "ps"),
        "W": (0.001, 0.0, "w watt"),
    },
    "force": {"N": (1.0, 0.0, "n newton"), "lbf": (POUND_KG * GRAVITY_MPS2, 0.0, "lbf"), "kN": (1000.0, 0.0, "kn")},
    "energy": {"J": (1.0, 0.0, "j joule"), "kJ": (1000.0, 0.0, "kj kilojoule")},
    "volume": {
        "l": (1.0, 0.0, "l liter litre liters litres"),
        "cm3": (0.001, 0.0, "cm3 cc ml"),
        "gal": (US_GALLON_L, 0.0, "gal gallons"),
    },
    "frequency": {"Hz": (1.0, 0.0, "hz 1/s"), "kHz": (1000.0, 0.0, "khz")},
    "state": {"": (1.0, 0.0, "- -- none n/a enum bool state flag on/off 0/1 gear gang count index # []")},
}


def _index() -> Mapping[str, tuple[Unit, ...]]:
    by_spelling: dict[str, list[Unit]] = {}
    for quantity, units in _UNITS.items():
        for name, (scale, offset, spellings) in units.items():
            unit = Unit(
                name=name, quantity=quantity, scale=scale, offset=offset, is_inverse=name == "equivalence ratio"
            )
            for spelling in spellings.split():
                by_spelling.setdefault(spelling, []).append(unit)
    return {spelling: tuple(units) for spelling, units in by_spelling.items()}


_BY_SPELLING = _index()
_REFERENCE = re.compile(
    r"[\s(\[_.-]*(?P<word>absolute|absolut|abs|gauge|gage|relative|relativ|rel|ueberdruck|ü|(?<=bar)a|(?<=bar)g|(?<=psi)a"
    r"|(?<=psi)g|(?<=kpa)a|(?<=kpa)g|[\s(\[_.-]a|[\s(\[_.-]g)[\s)\]]*$"
)
_ZERO = re.compile(r"^(.*(?:gauge|gage|rel|relative|\(g\)|[a-z]g))\s*@\s*(\d+(?:\.\d+)?)\s*(?:kpa)?$", re.IGNORECASE)
_STOICHIOMETRY = re.compile(r"^(?:afr|a/f)@(\d+(?:\.\d+)?)$")
# A degree sign as other encodings leave it: UTF-8 read as Latin-1, or lost altogether.
_DEGREES = (("Â°", "deg"), ("°", "deg"), ("º", "deg"), ("\ufffdc", "degc"), ("\ufffdf", "degf"), ("\ufffd", "deg"))


def _spelling(text: str) -> str:
    word = text.strip().strip("[]()").strip()
    if word in {"-", "--", "#", ""}:
        return word
    word = word.replace("Â°", "°").lower()
    for sign, plain in _DEGREES:
        word = word.replace(sign, plain)
    word = word.replace("²", "2").replace("³", "3").replace("μ", "µ").replace("⁻¹", "1")
    return re.sub(r"[\s^*·._-]", "", word) if word != "0..1" else word


def _without_reference(text: str) -> tuple[str, Reference]:
    found = _REFERENCE.search(text.lower())
    if found is None:
        return text, ""
    word = found["word"].strip(" ([_.-")
    reference: Reference = "absolute" if word.startswith("a") else "gauge"
    return text[: found.start()], reference


def read_unit(text: str) -> tuple[Unit, ...]:
    """Every unit that a word may mean, one for each quantity; empty where the word is no unit.

    Parameters
    ----------
    text : str
        As written in a header, a units row or an answer: ``km/h``, ``[°C]``, ``psi gauge``, ``bar_abs``, ``afr@14.7``,
        ``psi gauge@101.325`` (counted from that many kPa).
    """
    stoichiometry = _STOICHIOMETRY.match(_spelling_kept_dot(text))
    if stoichiometry is not None:
        return (air_fuel_ratio(float(stoichiometry[1])),)
    counted = _ZERO.match(text.strip())
    if counted is not None:
        return tuple(replace(unit, zero_kpa=float(counted[2])) for unit in read_unit(counted[1]) if unit.reference)
    plain = _BY_SPELLING.get(_spelling(text))
    if plain is not None:
        return plain
    bare, reference = _without_reference(text.strip().strip("[]()"))
    if not reference:
        return ()
    pressures = [unit for unit in _BY_SPELLING.get(_spelling(bare), ()) if unit.quantity == "pressure"]
    return tuple(replace(unit, reference=reference) for unit in pressures)


def nearest_unit(text: str) -> Unit | None:
    """The unit whose spelling is nearest to a word that is none; None where no spelling is near."""
    near = difflib.get_close_matches(_spelling(text), _BY_SPELLING, n=1)
    return _BY_SPELLING[near[0]][0] if near else None


def _spelling_kept_dot(text: str) -> str:
    return text.strip().lower().replace(" ", "")


def unit_of(text: str, quantity: str) -> Unit:
    """The unit of this quantity that a word means.

    Parameters
    ----------
    text : str
        As written.
    quantity : str
        One of `CANONICAL`.

    Raises
    ------
    UnitError
        The word is not a unit of this quantity.
    """
    for unit in read_unit(text):
        if unit.quantity == quantity:
            return unit
    known = ", ".join(name for name in _UNITS[quantity] if name)
    raise UnitError(
        phrase("refusal.units.not_of_quantity", text=text, quantity=phrase(f"refusal.quantity.{quantity}")),
        remedy=phrase("refusal.common.write_one_of", known=known),
    )


def canonical_unit(quantity: str) -> Unit:
    """The unit inside the program of a quantity."""
    return next(
        Unit(name=name, quantity=quantity, scale=scale, offset=offset)
        for name, (scale, offset, _) in _UNITS[quantity].items()
        if scale == 1.0 and offset == 0.0
    )


def air_fuel_ratio(stoichiometry: float) -> Unit:
    """Air-fuel ratio by mass on the scale of a fuel whose stoichiometric ratio is given; canonical is lambda."""
    return Unit(name=f"AFR@{stoichiometry:g}", quantity="mixture", scale=1.0 / stoichiometry)
