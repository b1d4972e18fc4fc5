"""The fleet: every kind of car, files that its owner could have written, first setups of a careful owner."""

import pytest

from nextpass.files import read_car, read_pass
from nextpass.proving import OUTPUTS, any_logger, drive_many, drive_pass, fleet, write_car_file, write_pass_folder


def test_owner_files_read_back_as_they_were(entries, tmp_path):
    for entry in entries:
        read = read_car(write_car_file(entry.car, tmp_path / "car.toml"))
        assert read == entry.car.believed


def test_baselines_are_on_their_steps_and_in_range(entries):
    for entry in entries:
        believed = entry.car.believed
        for name, value in entry.baseline.values.items():
            adjuster = believed.adjusters[name]
            if adjuster.kind == "number":
                values = value if isinstance(value, tuple) else (value,)
                assert all(adjuster.is_on_step(part) for part in values)
        assert len(entry.baseline.gear_pressure_cap_kpa) == believed.gear_count
        fuel = believed.fuels[entry.baseline.fuel]
        assert max(entry.baseline.gear_pressure_cap_kpa) < fuel.manifold_pressure_max_kpa


def test_all_kinds_are_there():
    many = [entry.car for entry in fleet(24, seed=1)]
    shares = [car.driveline.front_drive_share for car in many]
    assert {0.0, 1.0} < set(shares)
    assert sum(0.0 < share < 1.0 for share in shares) == 8
    assert {car.believed.gear_count for car in many} == {6, 7, 8}
    assert {car.engine.cylinders for car in many} == {4, 6, 8}
    assert {name for car in many for name in car.believed.fuels} == {"road98", "E60", "E85"}
    assert {len(car.believed.fuel_system.pumps) for car in many} == {1, 2}


def test_owners_are_wrong_by_what_owners_are_wrong_by(entries):
    for entry in entries:
        car, believed = entry.car, entry.car.believed
        assert believed.chassis.mass_kg / car.chassis.mass_kg == pytest.approx(1.0, abs=0.033)
        assert believed.tyres.peak_friction == 1.15
        assert 0.85 < car.tyres.rear_friction < 1.5
    frictions = [entry.car.tyres.rear_friction for entry in entries]
    assert min(frictions) < 1.10
    assert max(frictions) > 1.35


def test_a_longer_fleet_begins_with_the_shorter(entries):
    for long, short in zip(entries, fleet(3, seed=1), strict=False):
        assert long == short
    assert fleet(1, seed=2)[0] != entries[0]


def test_baselines_make_passes_that_one_sees_at_a_strip(entries):
    for entry in entries:
        runs = drive_many(entry.car, entry.strip, entry.conditions, [entry.baseline], [1, 2, 3])[0]
        sixty, times = runs[:, OUTPUTS.index("t60ft_s")], runs[:, OUTPUTS.index("et_s")]
        assert ((sixty > 1.5) & (sixty < 2.8)).all()
        assert ((times > 9.5) & (times < 15.0)).all()
        assert times.std() < 0.15
        guards = entry.car.believed.guards
        for name, limit in (
            ("injector_duty", guards.injector_duty),
            ("knock_retard_deg", guards.knock_retard_deg),
            ("wot_lambda", guards.wot_lambda_max),
            ("clutch_energy_j", guards.clutch_energy_j),
            ("charge_air_c", guards.charge_air_c),
            ("rail_pressure_drop", guards.rail_pressure_drop),
        ):
            assert runs[:, OUTPUTS.index(name)].max() < limit, (entry.car.name, name)


def test_pass_folder_reads_back(entries, tmp_path):
    entry = entries[1]
    outcome = drive_pass(entry.car, entry.strip, entry.conditions, entry.baseline, 3)
    folder = write_pass_folder(
        outcome, any_logger(5), tmp_path / "pass1", number=2, notes="lane two", with_timeslip=True, with_truth=True
    )
    record = read_pass(folder, entry.car.believed)
    assert record.setup == entry.baseline
    assert record.clocks.et_s == pytest.approx(outcome.strip_clocks.et_s, abs=5e-4)
    assert record.conditions.pressure_kpa == entry.conditions.pressure_kpa
    assert (record.number, record.notes) == (2, "lane two")
    assert f"et_s = {outcome.clocks.et_s:.4f}" in (folder / "truth.toml").read_text()
