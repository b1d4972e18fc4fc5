"""A setup: the value of each adjuster for one pass."""

from collections.abc import Mapping
from dataclasses import dataclass

from nextpass.car.adjuster import FUEL, GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, AdjusterValue


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """The value of each of the car's adjusters for one pass, as dialled in.

    Parameters
    ----------
    values : Mapping[str, AdjusterValue]
        By adjuster name: a float, a float per gear, a chosen name, or on/off. A reader has checked it against the car.
    """

    values: Mapping[str, AdjusterValue]

    @property
    def launch_rpm(self) -> float:
        """Engine speed held at the line [rpm]."""
        return self._number(LAUNCH_RPM)

    @property
    def launch_pressure_kpa(self) -> float:
        """Manifold pressure held at the line and until the clutch is closed [kPa absolute]."""
        return self._number(LAUNCH_PRESSURE)

    @property
    def gear_pressure_cap_kpa(self) -> tuple[float, ...]:
        """Manifold pressure cap of each gear [kPa absolute], first gear first."""
        caps = self.values[GEAR_PRESSURE_CAP]
        if not isinstance(caps, tuple):
            raise TypeError(f"{GEAR_PRESSURE_CAP} holds {caps!r}, not one value a gear")
        return caps

    @property
    def shift_rpm(self) -> float:
        """Engine speed of the upshifts [rpm]."""
        return self._number(SHIFT_RPM)

    @property
    def fuel(self) -> str:
        """Name of the fuel in the tank, one of the car's."""
        return str(self.values[FUEL])

    def with_values(self, **changes: AdjusterValue) -> "Setup":
        """Same setup with some adjusters changed; nothing is checked here."""
        return Setup(values={**self.values, **changes})

    def _number(self, name: str) -> float:
        value = self.values[name]
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise TypeError(f"{name} holds {value!r}, not a number")
        return float(value)
