"""The equations of one pass and the compiled integration of them, over one flat row of numbers in base SI.

Two axles with wheel speeds of their own stand on a tyre curve with peak and fall-off; load moves between the axles
with acceleration, as the body pitches on its springs; the engine hangs on them through a clutch that slips, holds, or
leads it down in a shift; manifold pressure follows its target as fast as the turbocharger gathers speed, from when the
car is staged. `rates` is the one place where the equations stand: the integration below and a general integrator in the
tests both call it.

Slip is stiff (it settles within a millisecond at low speed), the rest is not. The step is therefore a
two-stage W-method of second order, implicit in the two slips only (ROS2: Verwer, Spee, Blom & Hundsdorfer,
SIAM J. Sci. Comput. 20 (1999) 1456); it stays of second order with any approximate Jacobian, so that the falling part
of the tyre curve can be left out of it. Steps end on the events: clutch closed, shift, shift done, clutch overwhelmed.

Everything compiled stands in this one file, slots of the row included: the compiler's cache notices a change of the
file that holds a function, and of no other.
"""

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

MAX_GEARS = 10
TABLE_POINTS = 49
GRAVITY_MPS2 = 9.80665
RADPS_PER_RPM = math.pi / 30.0

# --- slots of the row: scalars in base SI, then a value a gear, then tables over engine speed -------------------------
(
    MASS,
    FRONT_LOAD,  # static, on this slope [N]
    REAR_LOAD,
    LOAD_ARM,  # m h / L: newtons moved to the rear per m/s2
    PITCH_SPEED,  # of the body on its springs [rad/s] ...
    PITCH_DAMPING,  # ... and the damping ratio of that
    RADIUS,
    AXLE_INERTIA,
    GEARBOX_INERTIA,  # all that turns with the driven wheels behind the clutch, at their speed
    FRONT_SHARE,
    COUPLING,  # viscous coupling between the axles [N m s/rad]
    EFFICIENCY,
    ENGINE_INERTIA,
    DRAG,  # half of density times drag area [kg/m]
    HEADWIND,
    ROLLING,  # [N]
    SLOPE_FORCE,
    FRICTION,
    LOAD_SENSITIVITY,
    LOAD_REFERENCE,
    TYRE_B,
    TYRE_C,
    PEAK_SLIP,
    LAUNCH_SPEED,  # engine speed at the line [rad/s] ...
    HOLD_SPEED,  # ... that the slipping clutch holds ...
    FLARE_SPEED,  # ... and that the launch limiter allows
    LAUNCH_FEED,  # share of the engine's torque that the clutch is fed at the launch
    RELEASE_TIME,
    HOLD_GAIN,  # clutch torque per engine speed above the held one [N m s/rad]
    LAUNCH_PRESSURE,
    STAGED_TIME,  # for which the turbocharger gathers speed at the line before the release
    SHIFT_SPEED,
    SHIFT_TIME,
    SHIFT_SHARE,  # share of its torque that the engine still makes during a shift
    SHIFT_MOMENTUM,  # share of its momentum that the clutch carries on
    LIMIT_SPEED,
    AMBIENT_PRESSURE,
    TURBINE_PRESSURE,  # the reference pressure ...
    TURBINE_POWER,  # ... and the power of pressure with which what can be held grows
    PRESSURE_GAIN,  # rate of rise per pressure that is missing [1/s]
    PRESSURE_LAG,  # time constant of the rate [s]
    AIR_TEMPERATURE,
    CHARGE_RISE,  # share of the compressor's heating that is left after the intercooler, at the reference flow
    CHARGE_FLOW,  # the reference flow: pressure times engine speed [Pa rad/s]
    CHARGE_GROWTH,  # the share grows with flow to this power
    SENSOR_TIME,
    CORE_START,
    CORE_SHARE,  # the core warms to this share of the charge's rise
    CORE_TIME,
    CHARGE_REFERENCE,
    CHARGE_EXPONENT,
    KNOCK_ONSET,
    KNOCK_SLOPE,  # degrees of retard per pascal over the onset
    KNOCK_PER_KELVIN,  # by how much the onset falls per kelvin of charge above the reference [Pa/K]
    KNOCK_LOSS,  # share of torque lost per degree
    FUEL_FLOW,  # kg/s per watt of torque's slope times pressure times speed, at the reference charge temperature
    INJECTOR_FLOW,  # all injectors open [kg/s]
    INJECTOR_DEAD,  # duty per rad/s spent on opening
    PUMP_FLOW,  # [kg/s]
    LAMBDA,
    OIL_START,
    OIL_HEAT,
    GEARS,
    ROLLOUT,
    FINISH,
    TABLE_STEP,  # [rad/s]
) = range(66)
RATIO = 66
CAP = RATIO + MAX_GEARS
CAPACITY = CAP + MAX_GEARS
TORQUE_BASE = CAPACITY + MAX_GEARS  # torque at no pressure [N m] ...
TORQUE_SLOPE = TORQUE_BASE + TABLE_POINTS  # ... and its slope in pressure [N m/Pa]
TURBINE = TORQUE_SLOPE + TABLE_POINTS  # boost that the turbine can hold at the reference pressure [Pa]
SPOOL = TURBINE + TABLE_POINTS  # rate of rise per pressure and boost to spare [1/(Pa s)]
ROW_LENGTH = SPOOL + TABLE_POINTS

# --- states ----------------------------------------------------------------------------------------------------------
# SENSED is the charge temperature as its sensor shows it; the air itself has no state, it follows at once.
(
    TRAVEL,
    SPEED,
    FRONT_SLIP,
    REAR_SLIP,
    ENGINE,
    PRESSURE,
    PRESSURE_RATE,
    SENSED,
    CORE,  # intercooler over the air around [K]
    LOAD_SHIFT,
    LOAD_RATE,
    CLUTCH_HEAT,
    SINCE,
) = range(13)
STATES = 13

# --- phases, and the memory of a shift -------------------------------------------------------------------------------
LAUNCH, LOCKED, SHIFT, SLIPPING = range(4)
(SHIFT_END, SHIFT_PULL) = range(2)

# --- by-products of `rates` ------------------------------------------------------------------------------------------
(
    INERTIA_FF,
    INERTIA_FR,
    INERTIA_RR,
    FRONT_STIFF,
    REAR_STIFF,  # rise of the pull per slip [N]
    FRONT_USE,
    REAR_USE,  # share of the peak pull
    ENGINE_TORQUE,
    CLUTCH_TORQUE,
    ENGINE_SPEED,
    INPUT_SPEED,
    RETARD,
    DUTY,
    FUEL,
    CHARGE,
) = range(15)
BY_PRODUCTS = 15

CLOCKS = (
    "t60ft_s",
    "t330ft_s",
    "t660ft_s",
    "v660ft_mps",
    "t1000ft_s",
    "et_s",
    "trap_mps",
    "t0_60mph_s",
    "t0_100kmh_s",
    "t100_200kmh_s",
)
TOTALS = (
    "launch_s",
    "clutch_energy_j",
    "clutch_use",
    "injector_duty",
    "knock_retard_deg",
    "wot_lambda",
    "charge_air_c",
    "gearbox_oil_c",
    "rail_pressure_drop",
    "fuel_kg",
    "rollout_s",
    "charge_sensed_c",
)
PER_GEAR = (
    "seconds",
    "spin_s",
    "traction_limited_s",
    "peak_slip",
    "grip_use",
    "pressure_kpa",
    "injector_duty",
    "knock_retard_deg",
    "rail_pressure_drop",
    "clutch_use",
)
_CLOCK_COUNT, _TOTAL_COUNT, _PER_GEAR_COUNT = len(CLOCKS), len(TOTALS), len(PER_GEAR)
OUTPUTS = (*CLOCKS, *TOTALS, *(f"gear{gear}_{name}" for gear in range(1, MAX_GEARS + 1) for name in PER_GEAR))
TRACES = (
    "distance_m",
    "speed_mps",
    "acceleration_mps2",
    "front_wheel_mps",
    "rear_wheel_mps",
    "engine_rpm",
    "manifold_pressure_kpa",
    "charge_temperature_c",
    "gear",
    "phase",
    "engine_torque_nm",
    "clutch_torque_nm",
    "injector_duty",
    "knock_retard_deg",
    "front_slip",
    "rear_slip",
    "charge_air_c",
)

# Beams from the stage line [m]: 60, 330, 594, 660, 1000, 1254 and 1320 ft; speed marks 60 mph, 100 and 200 km/h [m/s].
_BEAMS_M = np.array([18.288, 100.584, 181.0512, 201.168, 304.8, 382.2192, 402.336])
_MARKS_MPS = np.array([26.8224, 100.0 / 3.6, 200.0 / 3.6])
_TRAP_M = 20.1168

# Steps [s]: while something is abrupt, and otherwise. Chosen against the tight integrator, see tests/sim.
_FINE_SPM = 0.0015
_FINE_PEAK = 0.15
_FINE_SPIN = 0.25
_FINEST_S = 1e-4
_STICK_S = 5e-4
_FINE_S = 0.006
_COARSE_S = 0.02
_LONGEST_S = 40.0
# Steps in which the turbocharger is followed before the release.
_STAGED_STEPS = 100
_GAMMA = 1.0 - math.sqrt(0.5)
# Below this speed slip is counted against it, so that it stays finite at rest [m/s].
_SLIP_SPEED = 2.0
# Slip of this share of the peak's counts as limited by traction, and calls for fine steps.
_LIMITED = 0.8
_THROTTLE_S = 0.05
_LIMITER_BAND = 15.0  # [rad/s]
# The oncoming pack closes on what is left of the engine's excess in no less than this part of the time of a shift, and
# by this part of its mean rate faster than in proportion, so that it closes in the end (common practice).
_SHIFT_REST, _SHIFT_PULL = 0.25, 0.15
_CP_RATIO = 0.2857  # (k - 1)/k of air
_COMPRESSOR_EFFICIENCY = 0.70
_LEAST_COOLER_FLOW = 0.1
_LEAST_PRESSURE = 1e3  # [Pa]


@njit(cache=True, nogil=True, error_model="numpy")
def _spooled_rise(row, k, part, pressure):  # type: ignore[no-untyped-def]
    """Rate at which the turbocharger raises a pressure, at an engine speed by its place in the tables [Pa/s].

    The turbine's power goes with a power of the air flow, the compressor's with flow times boost: what is left over
    spins the turbocharger up.
    """
    turbine = row[TURBINE + k] + part * (row[TURBINE + k + 1] - row[TURBINE + k])
    spool = row[SPOOL + k] + part * (row[SPOOL + k + 1] - row[SPOOL + k])
    held = turbine * (max(pressure, _LEAST_PRESSURE) / row[TURBINE_PRESSURE]) ** row[TURBINE_POWER]
    return spool * pressure * (held - (pressure - row[AMBIENT_PRESSURE]))


@njit(cache=True, nogil=True, error_model="numpy")
def rates(row, memory, phase, gear, y, dy, by):  # type: ignore[no-untyped-def]
    """Rates of change of the states in one phase and gear (gear counts from 0), with by-products.

    `dy` and `by` are filled; the wheel speeds follow from the torques left on them and the inertia matrix, which are
    both among the by-products because the implicit step needs them apart.
    """
    speed = y[SPEED]
    share, radius = row[FRONT_SHARE], row[RADIUS]
    # Slip by its launch form, (wheel - ground)/max(ground, a small speed), rounded at the corner. As a state it stays
    # put while the car gathers speed, which rim speed would not.
    ground = math.sqrt(speed * speed + _SLIP_SPEED * _SLIP_SPEED)
    front_slip, rear_slip = y[FRONT_SLIP], y[REAR_SLIP]
    front, rear = (speed + front_slip * ground) / radius, (speed + rear_slip * ground) / radius
    ratio = row[RATIO + gear]
    input_speed = ratio * (share * front + (1.0 - share) * rear)
    engine_speed = input_speed if phase == LOCKED else y[ENGINE]

    # Engine: torque affine in pressure, from tables over engine speed.
    place = min(max(engine_speed / row[TABLE_STEP], 0.0), TABLE_POINTS - 1.001)
    k = int(place)
    part = place - k
    base = row[TORQUE_BASE + k] + part * (row[TORQUE_BASE + k + 1] - row[TORQUE_BASE + k])
    slope = row[TORQUE_SLOPE + k] + part * (row[TORQUE_SLOPE + k + 1] - row[TORQUE_SLOPE + k])
    # Charge air: a cooler that lets pass more of the compressor's heat the more flows, and warms by what it takes.
    pressure, ambient = y[PRESSURE], row[AMBIENT_PRESSURE]
    lift = max(pressure / ambient, 1.0) ** _CP_RATIO - 1.0
    flow = max(pressure * engine_speed / row[CHARGE_FLOW], _LEAST_COOLER_FLOW)
    left = row[CHARGE_RISE] * math.exp(row[CHARGE_GROWTH] * math.log(flow))
    charge = row[AIR_TEMPERATURE] * (1.0 + left * lift / _COMPRESSOR_EFFICIENCY) + y[CORE]
    by[CHARGE] = charge
    warmth = row[CHARGE_REFERENCE] / charge
    onset = row[KNOCK_ONSET] - row[KNOCK_PER_KELVIN] * (charge - row[CHARGE_REFERENCE])
    retard = max(0.0, (pressure - onset) * row[KNOCK_SLOPE])
    density = 1.0 + row[CHARGE_EXPONENT] * (warmth - 1.0)
    torque = base + slope * pressure * density * max(0.0, 1.0 - row[KNOCK_LOSS] * retard)
    limit = row[LIMIT_SPEED]
    # The air follows the torque that pressure makes: an engine that fills worse at high speed drinks less there too.
    fuel = row[FUEL_FLOW] * slope * pressure * engine_speed * warmth

    # Clutch.
    inertia = row[ENGINE_INERTIA]
    slipping = 0.0
    dy[ENGINE] = 0.0
    if phase == LAUNCH:
        # The clutch is fed on the engine's torque and brings the engine back to the held speed; the launch limiter
        # takes what the clutch does not.
        release = min(1.0, y[SINCE] / row[RELEASE_TIME])
        wanted = release * (row[LAUNCH_FEED] * torque + row[HOLD_GAIN] * (engine_speed - row[HOLD_SPEED]))
        clutch = min(max(wanted, 0.0), row[CAPACITY + gear])
        limit = min(limit, row[FLARE_SPEED] - _LIMITER_BAND)
    # A limiter takes the torque away over some speed; that of the launch has all of it when the flare is reached.
    torque *= min(1.0, max(0.0, 1.0 + (limit - engine_speed) / _LIMITER_BAND))
    if phase == LAUNCH:
        dy[ENGINE] = (torque - clutch) / inertia
        slipping = engine_speed - input_speed
        target = row[LAUNCH_PRESSURE]
    elif phase == SHIFT:
        # The oncoming pack carries what the engine still makes, and its momentum on the way down to the gearbox: it
        # follows wheels that lose their spin meanwhile, and the engine stays held back until it has met them.
        left = max(memory[SHIFT_END] - y[SINCE], _SHIFT_REST * row[SHIFT_TIME])
        dy[ENGINE] = (input_speed - engine_speed) / left - memory[SHIFT_PULL]
        carried = row[SHIFT_SHARE] * max(torque, 0.0) - row[SHIFT_MOMENTUM] * inertia * dy[ENGINE]
        clutch = min(max(carried, 0.0), row[CAPACITY + gear])
        target = row[CAP + gear]
        fuel = 0.0
    elif phase == SLIPPING:
        clutch = row[CAPACITY + gear]
        dy[ENGINE] = (torque - clutch) / inertia
        slipping = engine_speed - input_speed
        target = row[CAP + gear]
    else:
        clutch = torque
        target = row[CAP + gear]

    # Tyres.
    shift = y[LOAD_SHIFT]
    front_load = max(row[FRONT_LOAD] - shift, 50.0)
    rear_load = max(row[REAR_LOAD] + shift, 50.0)
    sensitivity, reference = row[LOAD_SENSITIVITY], row[LOAD_REFERENCE]
    front_peak = row[FRICTION] * front_load * (1.0 - sensitivity * (front_load / reference - 1.0))
    rear_peak = row[FRICTION] * rear_load * (1.0 - sensitivity * (rear_load / reference - 1.0))
    b, c = row[TYRE_B], row[TYRE_C]
    front_angle = c * math.atan(b * front_slip)
    rear_angle = c * math.atan(b * rear_slip)
    front_use, rear_use = math.sin(front_angle), math.sin(rear_angle)
    front_force, rear_force = front_peak * front_use, rear_peak * rear_use

    # Road.
    wind = speed + row[HEADWIND]
    resistance = row[DRAG] * wind * abs(wind) + row[SLOPE_FORCE] + row[ROLLING] * speed / math.sqrt(speed**2 + 0.0025)
    acceleration = (front_force + rear_force - resistance) / row[MASS]

    # Wheels, as rim speed over ground speed: the torque left on each axle, less what the car's own acceleration takes,
    # and the inertia that it works on.
    driving = row[EFFICIENCY] * ratio * clutch
    coupled = row[COUPLING] * (rear - front)
    reflected = row[GEARBOX_INERTIA]
    if phase == LOCKED:
        reflected += row[EFFICIENCY] * inertia * ratio * ratio
    m_ff = row[AXLE_INERTIA] + reflected * share * share
    m_fr = reflected * share * (1.0 - share)
    m_rr = row[AXLE_INERTIA] + reflected * (1.0 - share) * (1.0 - share)
    front_pull = radius * (share * driving - radius * front_force + coupled) - (m_ff + m_fr) * acceleration
    rear_pull = radius * ((1.0 - share) * driving - radius * rear_force - coupled) - (m_fr + m_rr) * acceleration
    determinant = m_ff * m_rr - m_fr * m_fr
    front_spin_up = (m_rr * front_pull - m_fr * rear_pull) / determinant
    rear_spin_up = (m_ff * rear_pull - m_fr * front_pull) / determinant
    stretch = speed * acceleration / ground
    dy[FRONT_SLIP] = (front_spin_up - front_slip * stretch) / ground
    dy[REAR_SLIP] = (rear_spin_up - rear_slip * stretch) / ground
    if phase == LOCKED:
        spin_up = share * front_spin_up + (1.0 - share) * rear_spin_up + acceleration
        clutch = torque - inertia * ratio * spin_up / radius

    dy[TRAVEL] = speed
    dy[SPEED] = acceleration
    pitch = row[PITCH_SPEED]
    dy[LOAD_SHIFT] = y[LOAD_RATE]
    dy[LOAD_RATE] = pitch * (pitch * (row[LOAD_ARM] * acceleration - shift) - 2.0 * row[PITCH_DAMPING] * y[LOAD_RATE])
    # Below the barometer the throttle alone decides.
    rise = _spooled_rise(row, k, part, pressure)
    rise += max(ambient - pressure, 0.0) / _THROTTLE_S
    asked = row[PRESSURE_GAIN] * (target - pressure)
    dy[PRESSURE] = y[PRESSURE_RATE]
    dy[PRESSURE_RATE] = (min(asked, rise) - y[PRESSURE_RATE]) / row[PRESSURE_LAG]
    dy[SENSED] = (charge - y[SENSED]) / row[SENSOR_TIME]
    dy[CORE] = (row[CORE_SHARE] * (charge - row[AIR_TEMPERATURE]) - y[CORE]) / row[CORE_TIME]
    dy[CLUTCH_HEAT] = clutch * slipping
    dy[SINCE] = 1.0

    by[INERTIA_FF], by[INERTIA_FR], by[INERTIA_RR] = m_ff, m_fr, m_rr
    # The falling part of the tyre curve is left out: a W-method may, and the matrix stays well conditioned.
    steep = b * c
    by[FRONT_STIFF] = by[REAR_STIFF] = 0.0
    if abs(front_angle) < 0.5 * math.pi:
        rise = math.sqrt(1.0 - front_use * front_use)  # cosine of the angle
        by[FRONT_STIFF] = front_peak * rise * steep / (1.0 + (b * front_slip) ** 2)
    if abs(rear_angle) < 0.5 * math.pi:
        rise = math.sqrt(1.0 - rear_use * rear_use)
        by[REAR_STIFF] = rear_peak * rise * steep / (1.0 + (b * rear_slip) ** 2)
    by[FRONT_USE], by[REAR_USE] = front_use, rear_use
    by[ENGINE_TORQUE], by[CLUTCH_TORQUE] = torque, clutch
    by[ENGINE_SPEED], by[INPUT_SPEED] = engine_speed, input_speed
    by[RETARD], by[FUEL] = retard, fuel
    by[DUTY] = fuel / row[INJECTOR_FLOW] + row[INJECTOR_DEAD] * engine_speed


@njit(cache=True, nogil=True, error_model="numpy")
def start(row, y):  # type: ignore[no-untyped-def]
    """States at the moment at which the driver lets go: staged, engine held, pressure as far as it came by then.

    The turbocharger gathers speed from the barometer on while the engine is held at launch rpm: what is asked for may
    not be there yet, or be overshot still. The rate is taken implicitly, so that its lag may be shorter than the step.
    """
    y[:] = 0.0
    y[ENGINE] = row[LAUNCH_SPEED]
    place = min(max(row[LAUNCH_SPEED] / row[TABLE_STEP], 0.0), TABLE_POINTS - 1.001)
    k = int(place)
    part = place - k
    ambient, target = row[AMBIENT_PRESSURE], row[LAUNCH_PRESSURE]
    pressure, rate = min(target, ambient), 0.0
    dt = row[STAGED_TIME] / _STAGED_STEPS
    # No step goes past half of what is missing, however quick the control.
    gain = min(row[PRESSURE_GAIN], 0.5 / dt)
    for _ in range(_STAGED_STEPS):
        rise = _spooled_rise(row, k, part, pressure)
        asked = gain * (target - pressure)
        rate = (rate + dt / row[PRESSURE_LAG] * min(asked, rise)) / (1.0 + dt / row[PRESSURE_LAG])
        pressure = max(pressure + dt * rate, min(target, ambient))
    y[PRESSURE], y[PRESSURE_RATE] = pressure, rate
    y[SENSED], y[CORE] = row[AIR_TEMPERATURE] + row[CORE_START], row[CORE_START]


@njit(cache=True, nogil=True, error_model="numpy")
def margins(row, phase, gear, by):  # type: ignore[no-untyped-def]
    """What is left until the phase ends, to the shift and to the clutch's event: positive before, zero at the event."""
    if phase == SHIFT:
        return 1e9, by[ENGINE_SPEED] - by[INPUT_SPEED]
    shift = row[SHIFT_SPEED] - by[ENGINE_SPEED] if gear + 1 < row[GEARS] and phase != LAUNCH else 1e9
    if phase == LOCKED:
        return shift, row[CAPACITY + gear] - by[CLUTCH_TORQUE]
    return shift, by[ENGINE_SPEED] - by[INPUT_SPEED]


@njit(cache=True, nogil=True, error_model="numpy")
def next_phase(row, memory, phase, gear, y, by):  # type: ignore[no-untyped-def]
    """Phase and gear after an event; sets the states and the memory that the new phase starts from."""
    to_shift, to_clutch = margins(row, phase, gear, by)
    if phase in (LAUNCH, SHIFT) or (phase == SLIPPING and to_clutch < to_shift):
        return LOCKED, gear
    y[ENGINE] = by[ENGINE_SPEED]
    if phase == LOCKED and to_clutch < to_shift:
        return SLIPPING, gear
    gear += 1
    wanted = by[INPUT_SPEED] * row[RATIO + gear] / row[RATIO + gear - 1]
    memory[SHIFT_END] = y[SINCE] + row[SHIFT_TIME]
    memory[SHIFT_PULL] = _SHIFT_PULL * max(y[ENGINE] - wanted, 0.0) / row[SHIFT_TIME]
    return SHIFT, gear


@njit(cache=True, nogil=True, error_model="numpy")
def _step(row, memory, phase, gear, y, dy, by, h, new, dy2, by2, mid):  # type: ignore[no-untyped-def]
    """One step of length `h` from `y` with its known rates `dy`, `by` to `new`; `dy2`, `by2`, `mid` are scratch."""
    # The implicit block in the two slips, written times inertia and ground speed: (J + g K) k = h J f.
    ground = math.sqrt(y[SPEED] * y[SPEED] + _SLIP_SPEED * _SLIP_SPEED)
    j_ff, j_fr, j_rr = by[INERTIA_FF] * ground, by[INERTIA_FR] * ground, by[INERTIA_RR] * ground
    g, coupling, square = _GAMMA * h, row[COUPLING] * ground, row[RADIUS] * row[RADIUS]
    front_stiff, rear_stiff = by[FRONT_STIFF], by[REAR_STIFF]
    front_sum = (by[INERTIA_FF] + by[INERTIA_FR]) / row[MASS]
    rear_sum = (by[INERTIA_FR] + by[INERTIA_RR]) / row[MASS]
    a_ff = j_ff + g * ((square + front_sum) * front_stiff + coupling)
    a_fr = j_fr + g * (front_sum * rear_stiff - coupling)
    a_rf = j_fr + g * (rear_sum * front_stiff - coupling)
    a_rr = j_rr + g * ((square + rear_sum) * rear_stiff + coupling)
    determinant = a_ff * a_rr - a_fr * a_rf
    front = h * (j_ff * dy[FRONT_SLIP] + j_fr * dy[REAR_SLIP])
    rear = h * (j_fr * dy[FRONT_SLIP] + j_rr * dy[REAR_SLIP])
    k1_front = (a_rr * front - a_fr * rear) / determinant
    k1_rear = (a_ff * rear - a_rf * front) / determinant
    for i in range(STATES):
        mid[i] = y[i] + h * dy[i]
    mid[FRONT_SLIP] = y[FRONT_SLIP] + k1_front
    mid[REAR_SLIP] = y[REAR_SLIP] + k1_rear
    rates(row, memory, phase, gear, mid, dy2, by2)
    front_rate = h * dy2[FRONT_SLIP] - 2.0 * k1_front
    rear_rate = h * dy2[REAR_SLIP] - 2.0 * k1_rear
    front = j_ff * front_rate + j_fr * rear_rate
    rear = j_fr * front_rate + j_rr * rear_rate
    k2_front = (a_rr * front - a_fr * rear) / determinant
    k2_rear = (a_ff * rear - a_rf * front) / determinant
    for i in range(STATES):
        new[i] = y[i] + 0.5 * h * (dy[i] + dy2[i])
    new[FRONT_SLIP] = y[FRONT_SLIP] + 1.5 * k1_front + 0.5 * k2_front
    new[REAR_SLIP] = y[REAR_SLIP] + 1.5 * k1_rear + 0.5 * k2_rear


@njit(cache=True, nogil=True, error_model="numpy")
def _trace(row, gear, phase, share, y, dy, by, new, line):  # type: ignore[no-untyped-def]
    """One line of the traces, `share` of the way from `y` to `new`; all but the states is taken at the step's start."""
    line[0] = y[TRAVEL] + share * (new[TRAVEL] - y[TRAVEL])
    line[1] = y[SPEED] + share * (new[SPEED] - y[SPEED])
    line[2] = dy[SPEED]
    ground = math.sqrt(line[1] * line[1] + _SLIP_SPEED * _SLIP_SPEED)
    front_slip = y[FRONT_SLIP] + share * (new[FRONT_SLIP] - y[FRONT_SLIP])
    rear_slip = y[REAR_SLIP] + share * (new[REAR_SLIP] - y[REAR_SLIP])
    front, rear = line[1] + front_slip * ground, line[1] + rear_slip * ground
    line[3], line[4] = front, rear
    engine = y[ENGINE] + share * (new[ENGINE] - y[ENGINE])
    if phase == LOCKED:
        engine = row[RATIO + gear] * (row[FRONT_SHARE] * front + (1.0 - row[FRONT_SHARE]) * rear) / row[RADIUS]
    line[5] = engine / RADPS_PER_RPM
    line[6] = (y[PRESSURE] + share * (new[PRESSURE] - y[PRESSURE])) / 1000.0
    line[7] = y[SENSED] + share * (new[SENSED] - y[SENSED]) - 273.15
    line[8], line[9] = gear + 1.0, phase
    line[10], line[11] = by[ENGINE_TORQUE], by[CLUTCH_TORQUE]
    line[12], line[13] = by[DUTY], by[RETARD]
    line[14], line[15] = front_slip, rear_slip
    line[16] = by[CHARGE] - 273.15


@njit(cache=True, nogil=True, error_model="numpy")
def _note(row, gear, phase, y, by, h, totals, gears):  # type: ignore[no-untyped-def]
    """Add a step to the totals of the pass and of its gear."""
    share = row[FRONT_SHARE]
    front_slip = y[FRONT_SLIP] if share > 0.0 else 0.0
    rear_slip = y[REAR_SLIP] if share < 1.0 else 0.0
    slip = max(front_slip, rear_slip)
    use = max(by[FRONT_USE] if share > 0.0 else 0.0, by[REAR_USE] if share < 1.0 else 0.0)
    supply = by[FUEL] / row[PUMP_FLOW]
    # Pumps that are asked for more than they have: the rail falls until the injectors take what comes (flow by the
    # square root of the pressure drop), and the mixture leans as far as the injectors cannot open any further.
    drop = 1.0 - 1.0 / (supply * supply) if supply > 1.0 else 0.0
    lean = max(1.0, supply, by[DUTY])
    # A pack that is overwhelmed is found a moment later; it never carries more than it can.
    clutch = min(by[CLUTCH_TORQUE] / row[CAPACITY + gear], 1.0)
    g = gears[gear]
    g[0] += h
    if slip > row[PEAK_SLIP]:
        g[1] += h
    if slip > _LIMITED * row[PEAK_SLIP]:
        g[2] += h
    g[3], g[4] = max(g[3], slip), max(g[4], 1.0 if slip > row[PEAK_SLIP] else use)
    g[5], g[6] = max(g[5], y[PRESSURE] / 1000.0), max(g[6], by[DUTY])
    g[7], g[8] = max(g[7], by[RETARD]), max(g[8], drop)
    if phase != LAUNCH:
        g[9] = max(g[9], clutch)
    if phase == LAUNCH:
        totals[0] += h
    totals[2] = max(totals[2], clutch)
    totals[3], totals[4] = max(totals[3], by[DUTY]), max(totals[4], by[RETARD])
    totals[5] = max(totals[5], row[LAMBDA] * lean)
    totals[6] = max(totals[6], by[CHARGE] - 273.15)
    totals[11] = max(totals[11], y[SENSED] - 273.15)
    totals[8] = max(totals[8], drop)
    totals[9] += h * by[FUEL]


@njit(cache=True, nogil=True, error_model="numpy")
def drive_row(row, out, traces, trace_step):  # type: ignore[no-untyped-def]
    """One pass: fills `out` (as `OUTPUTS`) and as many lines of `traces` (as `TRACES`) as it has, nan past the end."""
    y, new, mid = np.empty(STATES), np.empty(STATES), np.empty(STATES)
    dy, dy2 = np.empty(STATES), np.empty(STATES)
    by, by2 = np.empty(BY_PRODUCTS), np.empty(BY_PRODUCTS)
    memory = np.zeros(2)
    beams, marks = np.full(7, np.nan), np.full(3, np.nan)
    rolled = 0.0 if row[ROLLOUT] <= 0.0 else np.nan
    totals, gears = np.zeros(_TOTAL_COUNT), np.zeros((MAX_GEARS, _PER_GEAR_COUNT))
    start(row, y)
    phase, gear, line, settled = LAUNCH, 0, 0, 0.0
    rates(row, memory, phase, gear, y, dy, by)
    while y[TRAVEL] < row[FINISH] and y[SINCE] < _LONGEST_S:
        h = _FINE_S if y[SINCE] < settled else _COARSE_S
        h = min(h, _FINE_SPM * (y[SPEED] + 1.0))
        if phase == SHIFT:
            h = min(h, _FINE_S, 0.5 * _SHIFT_REST * row[SHIFT_TIME])
        peak = _FINE_PEAK * row[PEAK_SLIP]
        h = min(h, (_FINE_SPIN * abs(y[FRONT_SLIP]) + peak) / (abs(dy[FRONT_SLIP]) + 1e-6))
        h = min(h, (_FINE_SPIN * abs(y[REAR_SLIP]) + peak) / (abs(dy[REAR_SLIP]) + 1e-6))
        h = max(h, _FINEST_S)
        ended = False
        before = min(*margins(row, phase, gear, by))
        _step(row, memory, phase, gear, y, dy, by, h, new, dy2, by2, mid)
        rates(row, memory, phase, gear, new, dy2, by2)
        after = min(*margins(row, phase, gear, by2))
        if after <= 0.0:
            ended = True
            # Regula falsi, twice: the margins bend little within one step.
            low, high = 0.0, h
            # A pack just at its capacity sticks and slips in turn: each takes this long, or the pass would never end.
            shortest = min(h, _STICK_S) if before <= 0.0 else 1e-9
            for _ in range(2):
                h = low + (high - low) * max(before, 0.0) / max(before - after, 1e-12)
                h = max(h, shortest)
                _step(row, memory, phase, gear, y, dy, by, h, new, dy2, by2, mid)
                rates(row, memory, phase, gear, new, dy2, by2)
                here = min(*margins(row, phase, gear, by2))
                if here <= 0.0:
                    high, after = h, here
                else:
                    low, before = h, here
        _note(row, gear, phase, y, by, h, totals, gears)
        time, travel = y[SINCE], new[TRAVEL] - y[TRAVEL]
        if np.isnan(rolled) and new[TRAVEL] >= row[ROLLOUT]:
            rolled = time + h * (row[ROLLOUT] - y[TRAVEL]) / travel
        for i in range(7):
            if np.isnan(beams[i]) and new[TRAVEL] >= _BEAMS_M[i]:
                beams[i] = time + h * (_BEAMS_M[i] - y[TRAVEL]) / travel
        for i in range(3):
            if np.isnan(marks[i]) and new[SPEED] >= _MARKS_MPS[i]:
                marks[i] = time + h * (_MARKS_MPS[i] - y[SPEED]) / (new[SPEED] - y[SPEED])
        while line < traces.shape[0] and line * trace_step < new[SINCE]:
            _trace(row, gear, phase, (line * trace_step - time) / h, y, dy, by, new, traces[line])
            line += 1
        y, new, dy, dy2, by, by2 = new, y, dy2, dy, by2, by
        if ended:
            settled = y[SINCE] + 0.05
            phase, gear = next_phase(row, memory, phase, gear, y, by)
            rates(row, memory, phase, gear, y, dy, by)
    traces[line:] = np.nan
    _report(row, y, beams, marks, rolled, totals, gears, out)


@njit(cache=True, nogil=True, error_model="numpy")
def _report(row, y, beams, marks, rolled, totals, gears, out):  # type: ignore[no-untyped-def]
    """Fill `out` in the order of `OUTPUTS`."""
    out[0], out[1], out[2] = beams[0] - rolled, beams[1] - rolled, beams[3] - rolled
    out[3] = _TRAP_M / (beams[3] - beams[2])
    out[4], out[5] = beams[4] - rolled, beams[6] - rolled
    out[6] = _TRAP_M / (beams[6] - beams[5])
    out[7], out[8], out[9] = marks[0], marks[1], marks[2] - marks[1]
    totals[1] = y[CLUTCH_HEAT]
    totals[7] = row[OIL_START] + y[CLUTCH_HEAT] / row[OIL_HEAT]
    totals[10] = rolled
    out[_CLOCK_COUNT : _CLOCK_COUNT + _TOTAL_COUNT] = totals
    out[_CLOCK_COUNT + _TOTAL_COUNT :] = gears.ravel()


@njit(cache=True, nogil=True, error_model="numpy")
def drive_rows(rows, outs, traces, trace_step):  # type: ignore[no-untyped-def]
    """A block of passes; `traces` of shape (m, n, traces), n = 0 where only the outputs are wanted."""
    for i in range(rows.shape[0]):
        drive_row(rows[i], outs[i], traces[i], trace_step)
