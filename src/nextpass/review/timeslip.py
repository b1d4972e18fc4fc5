"""The pass against the clocks, each value with its ± or the reason why there is none."""

from dataclasses import dataclass

from nextpass.measure import Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeslip:
    """Times from the rollout [s], speed windows from standstill [s], trap speeds [m/s]; see the contract's *Clocks*."""

    t60ft_s: Measured
    t330ft_s: Measured
    t660ft_s: Measured
    v660ft_mps: Measured
    t1000ft_s: Measured
    et_s: Measured
    trap_mps: Measured
    t0_60mph_s: Measured
    t0_100kmh_s: Measured
    t100_200kmh_s: Measured
