"""A small book for the pages: one car and its passes, made of the sample records; its plans are ready-made."""

from dataclasses import replace
from types import SimpleNamespace

from tests.report.samples import sample_car, sample_forecast, sample_log, sample_plan, sample_record

from nextpass.book import open_book
from nextpass.files import car_text, write_pass
from nextpass.jobs import Desk
from nextpass.measure import Estimate
from nextpass.sim import default_parameters

CAR_NAME = "Sedgeford estate"
CHANNELS = (
    "engine_rpm",
    "vehicle_speed_mps",
    "wheel_speed_rl_mps",
    "manifold_pressure_kpa",
    "target_pressure_kpa",
    "lambda_bank1",
    "injector_duty",
    "knock_retard_deg",
    "gear",
)


class SampleDesk(Desk):
    """A desk whose plans, fits and forecasts are the samples: the pages are judged here, not the search."""

    def plan(self, kept, conditions=None, most_changes=None, report=lambda doing, done: None):
        passes = self._newest(kept)
        report("looking for the best setup", 0.5)
        newest = self.record(kept, passes[-1])
        plan = sample_plan(self.car(kept))
        return replace(plan, newest=newest.setup, conditions=conditions or newest.conditions)

    def fitted(self, kept, report=lambda doing, done: None):
        values = {"peak_friction": Estimate(value=1.22, plus_minus=0.05)}
        return SimpleNamespace(values=values, parameters=default_parameters(self.car(kept)))

    def what_if(self, kept, setup, conditions):
        return sample_forecast(
            10.98 + 0.0001 * abs(setup.launch_rpm - 3700.0), 80.0 + 0.05 * setup.gear_pressure_cap_kpa[2]
        )


def log_text(scale=1.0):
    log = sample_log()
    time_s = log["engine_rpm"].time_s
    columns = [log[name].values * (scale if "speed" in name else 1.0) for name in CHANNELS]
    heads = (
        "Time (s),Engine RPM,Vehicle Speed (m/s),Wheel Speed RL (m/s),MAP (kPa),Boost Target (kPa abs),Lambda B1,"
        "Injector Duty (%),Knock Retard (deg),Gear"
    )
    columns[6] = columns[6] * 100.0
    rows = (
        ",".join([f"{time_s[row]:.3f}", *(f"{column[row]:.4f}" for column in columns)]) for row in range(time_s.size)
    )
    return "\n".join([heads, *rows]) + "\n"


def make_pass_folder(folder, car, number):
    folder.mkdir(parents=True)
    (folder / "log.csv").write_text(log_text(1.0 + 0.01 * number))
    record = sample_record(car, number)
    write_pass(folder, replace(record, folder=folder, logs=(folder / "log.csv",)))
    return folder


def make_book(place, passes=3):
    """A book at `place` with the sample car and that many passes, open as a desk."""
    desk = SampleDesk(open_book(place / "book"))
    car = sample_car()
    kept = desk.add_car(car_text(car))
    for number in range(1, passes + 1):
        desk.add_pass(kept, make_pass_folder(place / f"pass{number}", car, number))
    return desk
