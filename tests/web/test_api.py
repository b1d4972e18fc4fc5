"""The API gives the answers of the contract, and every refusal is one object at a status of 4xx."""

from http import HTTPStatus

import pytest
from tests.report.samples import sample_car, sample_setup
from tests.web.sample_book import CAR_NAME, log_text

from nextpass.answers import codes_answer, ledger_answer, plan_answer, review_answer, sum_answer
from nextpass.jobs import (
    SUMS,
    CompareAsked,
    codes_in,
    ledger_of_car,
    usual_given,
    usual_start,
    weigh_kept,
    worked_sum,
)
from nextpass.web import api_season
from nextpass.workbench import launch_sum

SETUP = {
    "launch_rpm": 3400,
    "launch_pressure_kpa": 130,
    "gear_pressure_cap_kpa": [160, 180, 200, 210, 210, 210],
    "shift_rpm": 6800,
    "fuel": "E60",
    "charge_spray": False,
}
CONDITIONS = {"air_temperature_c": 18, "pressure_kpa": 100.9, "humidity_pct": 58, "track_temperature_c": 27}


async def test_cars_and_passes_are_listed(api):
    (car,) = (await api.get("/cars")).json()
    assert (car["name"], car["passes"]) == (CAR_NAME, 3)
    passes = (await api.get(f"/cars/{CAR_NAME}/passes")).json()
    assert [(one["sequence"], one["number"], one["fuel"]) for one in passes] == [
        (1, 1, "E60"),
        (2, 2, "E60"),
        (3, 3, "E60"),
    ]


async def test_a_review_is_the_answer_of_the_command_line(api, desk):
    kept = desk.kept_car(CAR_NAME)
    reviewed = desk.reviewed(kept, desk.passes(kept)[1])
    answer = await api.get(f"/cars/{CAR_NAME}/passes/2/review")
    assert answer.json() == review_answer(reviewed).model_dump(mode="json")


async def test_a_plan_is_the_answer_of_the_command_line(api, desk):
    answer = await api.get(f"/cars/{CAR_NAME}/plan")
    assert answer.json() == plan_answer(desk.plan(desk.kept_car(CAR_NAME))).model_dump(mode="json")


async def test_what_if_answers_any_setup_of_the_car(api):
    answer = await api.post(f"/cars/{CAR_NAME}/whatif", json={"setup": SETUP})
    # The sample desk's own rule: a tenth of a millisecond for each rpm away from 3700.
    assert answer.json()["forecast"]["et_s"]["median"] == pytest.approx(10.98 + 0.0001 * 300)
    assert answer.json()["setup"] == SETUP


async def test_what_if_refuses_a_setup_that_cannot_be_dialled_in(api):
    answer = await api.post(f"/cars/{CAR_NAME}/whatif", json={"setup": {**SETUP, "launch_rpm": 3450}})
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert answer.json() == {
        "what": "3450 is not on the step of 100 from 2200",
        "where": "launch_rpm",
        "remedy": "write 3400 or 3500",
    }


async def test_a_car_that_is_not_there(api):
    answer = await api.get("/cars/Nobody/plan")
    assert answer.status_code == HTTPStatus.NOT_FOUND
    assert answer.json() == {"what": "no car is named 'Nobody'", "where": "", "remedy": "choose one of the book"}


async def test_a_refusal_follows_the_language_of_the_address(api):
    answer = await api.post("/cars/Nobody/logs?name=log.csv&language=de", content=b"1")
    assert answer.status_code == HTTPStatus.NOT_FOUND
    assert answer.json() == {"what": "kein Auto heißt 'Nobody'", "where": "", "remedy": "eines aus dem Buch wählen"}


async def test_a_pass_that_is_not_there(api):
    answer = await api.get(f"/cars/{CAR_NAME}/passes/9/review")
    assert answer.status_code == HTTPStatus.NOT_FOUND
    assert answer.json() == {"what": "Sedgeford estate has no pass 9", "where": "", "remedy": "it has 3"}


async def test_a_request_that_cannot_be_read(api):
    answer = await api.post(f"/cars/{CAR_NAME}/whatif", json={"setup": SETUP, "colour": "red"})
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert answer.json()["where"] == "body.colour"


async def test_traces_come_thinned_and_values_exact(api):
    query = {"channel": ["engine_rpm", "manifold_pressure_kpa"], "start": 0, "end": 5, "points": 20}
    answer = (await api.get(f"/cars/{CAR_NAME}/passes/3/traces", params=query)).json()
    assert [line["name"] for line in answer["lines"]] == ["engine_rpm", "manifold_pressure_kpa"]
    assert all(len(line["at"]) <= 22 for line in answer["lines"])
    at = answer["lines"][0]["at"][10]
    values = (
        await api.get(f"/cars/{CAR_NAME}/passes/3/values", params={"channel": "engine_rpm", "at": at + 0.001})
    ).json()
    # A line is drawn with six digits of its largest value; under the cursor stands the sample itself.
    drawn = answer["lines"][0]["values"][10]
    assert values["values"]["engine_rpm"] == pytest.approx(drawn, abs=0.5e-5 * 10_000)
    assert drawn == round(drawn, 2)


async def test_the_cards_and_reports_are_files(api):
    for path, kind, start in (
        ("card.pdf", "application/pdf", b"%PDF"),
        ("card.txt", "text/plain; charset=utf-8", b"N\xc3\xa4chster Lauf: Sedgeford estate"),
        ("passes/1/report.pdf", "application/pdf", b"%PDF"),
        ("passes/1/report.html", "text/html; charset=utf-8", b'<!doctype html><html lang="de">'),
        ("day.html", "text/html; charset=utf-8", b"<!doctype html>"),
        ("day.pdf", "application/pdf", b"%PDF"),
        ("season.html?without=owner", "text/html; charset=utf-8", b"<!doctype html>"),
        ("season.pdf", "application/pdf", b"%PDF"),
    ):
        query = "language=de&units=psi,gauge,mph"
        answer = await api.get(f"/cars/{CAR_NAME}/{path}{'&' if '?' in path else '?'}{query}")
        assert answer.status_code == HTTPStatus.OK
        assert answer.headers["content-type"] == kind
        assert answer.content.startswith(start)


@pytest.mark.parametrize("query", [{"language": "tlh"}, {"units": "furlongs"}])
async def test_a_card_in_no_language_or_unit_is_refused(api, query):
    answer = await api.get(f"/cars/{CAR_NAME}/card.txt", params=query)
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY


async def drop(api, text, name="pass 4.csv"):
    answer = await api.post(f"/cars/{CAR_NAME}/logs", params={"name": name}, content=text.encode())
    assert answer.status_code == HTTPStatus.CREATED
    return answer.json()["dropped"]


async def test_a_dropped_log_becomes_a_pass(api):
    dropped = await drop(api, log_text(1.04))
    sent = {"dropped": dropped, "setup": SETUP, "conditions": CONDITIONS, "number": 4, "notes": "headwind"}
    looked = (await api.post(f"/cars/{CAR_NAME}/logs/look", json=sent)).json()
    assert "engine_rpm" in looked["channels"]
    kept = await api.post(f"/cars/{CAR_NAME}/passes", json=sent)
    assert kept.status_code == HTTPStatus.CREATED
    assert (kept.json()["sequence"], kept.json()["notes"], kept.json()["logs"]) == (4, "headwind", ["pass 4.csv"])
    review = (await api.get(f"/cars/{CAR_NAME}/passes/4/review")).json()
    assert review["timeslip"]["t60ft_s"]["value"] > 1.0
    gone = await api.post(f"/cars/{CAR_NAME}/passes", json=sent)
    assert gone.json()["what"] == "that log is not here any more"


async def test_a_log_that_is_no_log_is_refused_and_nothing_is_kept(api):
    dropped = await drop(api, "%PDF-1.4 not a log at all", "card.pdf")
    sent = {"dropped": dropped, "setup": SETUP, "conditions": CONDITIONS}
    answer = await api.post(f"/cars/{CAR_NAME}/passes", json=sent)
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert answer.json()["what"]
    assert len((await api.get(f"/cars/{CAR_NAME}/passes")).json()) == 3


@pytest.mark.parametrize("name", ["../../etc/passwd", "..\\..\\boot.ini", "\x00", "a/b\nc.csv", "." * 200])
async def test_a_hostile_file_name_reaches_no_path(api, staging, name):
    dropped = await drop(api, log_text(), name)
    staged = staging.get(dropped)
    assert staged.path.parent == staging._folder
    assert "/" not in staged.name
    assert "\\" not in staged.name


async def test_the_taken_setup_starts_the_next_log(api, desk):
    answer = await api.post(f"/cars/{CAR_NAME}/taken", json={"setup": {**SETUP, "launch_rpm": 3900}})
    assert "launch_rpm = 3900" in answer.json()["pass_file"]
    assert "number = 4" in answer.json()["pass_file"]
    setup, conditions = usual_start(desk, desk.kept_car(CAR_NAME))
    assert setup == sample_setup(sample_car(), launch_rpm=3900.0)
    assert conditions.pressure_kpa == 100.9


async def test_a_changed_car_file_is_kept_and_a_faulty_one_refused(api):
    file = (await api.get(f"/cars/{CAR_NAME}")).json()["file"]
    changed = await api.post("/cars", json={"file": file.replace("mass_kg = 1795", "mass_kg = 1750")})
    assert changed.status_code == HTTPStatus.CREATED
    faulty = await api.post("/cars", json={"file": file.replace("mass_kg = 1795", "mass_kg = 17950")})
    assert faulty.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert faulty.json()["where"].endswith("chassis.mass_kg")
    assert "mass_kg = 1750" in (await api.get(f"/cars/{CAR_NAME}")).json()["file"]


async def test_a_car_without_passes_has_no_plan_yet(api, desk):
    file = (await api.get(f"/cars/{CAR_NAME}")).json()["file"].replace(CAR_NAME, "Fresh car")
    await api.post("/cars", json={"file": file})
    answer = await api.get("/cars/Fresh car/plan")
    assert answer.status_code == HTTPStatus.CONFLICT
    assert answer.json()["what"] == "Fresh car has no pass yet"


async def test_a_ledger_is_made_of_the_figures_that_the_book_keeps(api, desk):
    answer = await api.get(f"/cars/{CAR_NAME}/ledger")
    kept = desk.kept_car(CAR_NAME)
    assert answer.json() == ledger_answer(ledger_of_car(desk, kept)).model_dump(mode="json")
    assert [one["name"] for one in answer.json()["passes"]] == ["pass 1", "pass 2", "pass 3"]


async def test_what_was_done_by_hand_is_kept_and_comes_due(api):
    sent = {"when": "2026-05-01T09:00:00Z", "kind": "service", "item": "gearbox oil", "due_launches": 2}
    answer = await api.post(f"/cars/{CAR_NAME}/entries", json={**sent, "values": {"filled_l": 5.2}})
    assert answer.status_code == HTTPStatus.CREATED
    assert (await api.get(f"/cars/{CAR_NAME}/entries")).json()[0]["values"] == {"filled_l": 5.2}
    (due,) = (await api.get(f"/cars/{CAR_NAME}/ledger")).json()["due"]
    # The sample's passes were run on the day after.
    assert (due["item"], due["launches"], due["is_due"]) == ("gearbox oil", 3.0, True)


async def test_codes_are_weighed_against_passes(api, desk):
    params = {"code": ["P0299", "P0171"], "before": ["P0171"], "with_pass": [3]}
    answer = (await api.get(f"/cars/{CAR_NAME}/codes", params=params)).json()
    kept = desk.kept_car(CAR_NAME)
    weighed = weigh_kept(desk, kept, codes_in(["P0299 P0171"]), codes_in(["P0171"]), [3])
    assert answer == codes_answer(*weighed).model_dump(mode="json")
    assert answer["passes"] == ["pass 3"]
    assert answer["states"] == {"gone": [], "stayed": ["P0171"], "came": ["P0299"]}


async def test_passes_are_compared(api, desk, monkeypatch):
    asked = []
    monkeypatch.setattr(api_season, "compare_kept", lambda *given: asked.append(given[2]) or ())
    params = {"before": [1], "after": [2, 3], "scatter": 0.03}
    assert (await api.get(f"/cars/{CAR_NAME}/compare", params=params)).json() == {"comparisons": []}
    assert asked == [CompareAsked(before=(1,), after=(2, 3), known_scatter_s=0.03)]


async def test_nothing_to_compare_is_said_so(api):
    answer = await api.get(f"/cars/{CAR_NAME}/compare", params={"passes": [1]})
    assert answer.status_code == HTTPStatus.CONFLICT
    assert answer.json() == {"what": "one pass alone compares with nothing", "where": "", "remedy": "give a second one"}
    twice = await api.get(f"/cars/{CAR_NAME}/compare", params={"before": [1, 2], "after": [2]})
    assert twice.json()["what"] == "pass 2 stands before and after the change"


async def test_a_sum_shows_its_work(api, desk):
    car = desk.car(desk.kept_car(CAR_NAME))
    answer = await api.post(f"/cars/{CAR_NAME}/bench/launch", json={"values": {"launch_rpm": 3400}})
    assert answer.json() == sum_answer(launch_sum(car, 3400.0)).model_dump(mode="json")


@pytest.mark.parametrize(
    ("name", "values", "message"),
    [
        ("boost", {}, ("is not a sum of the workbench", "boost")),
        ("launch", {}, ("is missing", "launch_rpm")),
        ("launch", {"launch_rpm": "many"}, ("'many' is no number", "launch_rpm")),
        ("launch", {"launch_rpm": 90_000}, ("90000 is beyond what can be", "launch_rpm")),
        ("launch", {"launch_rpm": 3400, "colour": 1}, ("is not asked for", "colour")),
        ("supply", {"fuel": "tea", "manifold_pressure_kpa": 200}, ("'tea' is not a fuel of this car", "fuel")),
    ],
)
async def test_a_sum_refuses_what_cannot_be(api, name, values, message):
    answer = await api.post(f"/cars/{CAR_NAME}/bench/{name}", json={"values": values})
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert (answer.json()["what"], answer.json()["where"]) == message


@pytest.mark.parametrize("name", SUMS)
async def test_every_sum_works_out_from_what_stands_in_its_fields_first(desk, name):
    kept = desk.kept_car(CAR_NAME)
    car, record = desk.car(kept), desk.record(kept, desk.passes(kept)[-1])
    usual = usual_given(car, record)
    told = {"left_l": 20, "left_ethanol_pct": 10, "add_ethanol_pct": 85, "wanted_ethanol_pct": 60, "hot_c": 60}
    told |= {"cold_kpa_gauge": 200, "hot_kpa_gauge": 240, "size": "285/35R20"}
    given = {field.name: usual.get(field.name, told.get(field.name)) for field in SUMS[name].fields}
    worked = worked_sum(car, name, {key: value for key, value in given.items() if value is not None}, record)
    assert worked.results


async def test_a_test_at_rest_is_read_from_a_dropped_log(api, desk):
    idle = "\n".join(
        ["Time (s),Engine RPM,Coolant Temp (C),STFT B1 (%),STFT B2 (%),LTFT B1 (%),LTFT B2 (%),Throttle (%)"]
        + [f"{place / 10:.1f},{850 + place % 3},90,1.0,-2.0,0,0,2" for place in range(600)]
    )
    dropped = (await api.post(f"/cars/{CAR_NAME}/logs", params={"name": "idle.csv"}, content=idle)).json()["dropped"]
    answer = await api.post(f"/cars/{CAR_NAME}/guided/idle", json={"dropped": dropped})
    # By hand: bank 2 stands 3 % below bank 1.
    assert answer.json()["trims_apart_pct"]["value"] == pytest.approx(-3.0, abs=0.1)
    again = await api.post(f"/cars/{CAR_NAME}/guided/idle", json={"dropped": dropped})
    assert again.json()["what"] == "that log is not here any more"
