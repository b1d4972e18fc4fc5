"""The whole job of a day in a real browser, and what happens when two look at once or the server dies."""

import pytest
from tests.web.sample_book import log_text

from nextpass.proving import demo_day, drive_demo_pass, write_car_file, write_pass_folder

pytestmark = pytest.mark.xdist_group("browser")
CAR = "/car/Sedgeford%20estate"


@pytest.fixture(scope="session")
def demo_files(tmp_path_factory):
    """A car file and the logs of three passes, as an owner has them."""
    place = tmp_path_factory.mktemp("demo")
    day = demo_day()
    write_car_file(day.car, place / "car.toml")
    for one in day.passes:
        outcome = drive_demo_pass(day, one.setup, one.conditions, one.number)
        write_pass_folder(outcome, day.logger, place / f"pass{one.number}", number=one.number, notes=one.notes)
    return place, day


def fill_setup(page, card, setup):
    for label, value in (("launch", setup.launch_rpm), ("shift", setup.shift_rpm)):
        card.get_by_label(label, exact=True).fill(f"{value:g}")
    card.get_by_label("pressure at the line").fill(f"{setup.launch_pressure_kpa / 100:.2f}")
    for gear, cap in enumerate(setup.gear_pressure_cap_kpa, start=1):
        card.get_by_label(f"gear {gear}", exact=True).fill(f"{cap / 100:.2f}")


def fill_conditions(card, conditions):
    card.get_by_label("air", exact=True).fill(f"{conditions.air_temperature_c:g}")
    card.get_by_label("barometer").fill(f"{conditions.pressure_kpa:g}")
    card.get_by_label("humidity").fill(f"{100 * conditions.humidity:g}")
    card.get_by_label("track", exact=True).fill(f"{conditions.track_temperature_c:g}")


@pytest.mark.parametrize("width", [1400, 390])
def test_the_whole_job(empty_server, visitor, demo_files, width):
    place, day = demo_files
    page = visitor(width, server=empty_server)
    page.goto(empty_server.address)
    page.wait_for_url("**/new")
    # A new car, brought as a file.
    page.set_input_files("input[type=file]", place / "car.toml")
    page.wait_for_url("**/file")
    page.click("nav >> text=Today")
    # The first log: nobody knows its setup yet.
    page.set_input_files(".drop input", next((place / "pass1").glob("log*")))
    card = page.locator(".dropped")
    first = day.passes[0]
    fill_conditions(card, first.conditions)
    fill_setup(page, card, first.setup)
    card.get_by_text("Keep this pass").click()
    page.wait_for_url("**/pass/1")
    # Two more at once: they start from the pass before.
    page.click("nav >> text=Today")
    page.set_input_files(".drop input", [next((place / f"pass{number}").glob("log*")) for number in (2, 3)])
    page.wait_for_selector(".dropped >> nth=1")
    for at in (0, 1):
        card = page.locator(".dropped").nth(at)
        assert card.get_by_label("pass number", exact=True).input_value() == str(at + 2), "not in the order of dropping"
        card.locator("summary").first.click()
        fill_setup(page, card, day.passes[at + 1].setup)
        card.get_by_text("Keep this pass").click()
        if at == 0:
            page.wait_for_selector("text=is kept.")
    page.wait_for_url("**/pass/3")
    # A finding, and its seconds in the traces.
    page.goto(page.url.replace("/pass/3", "/pass/2"))
    page.wait_for_selector(".traces[data-ready=yes]")
    page.get_by_role("button", name="Show in the traces").first.click()
    page.wait_for_selector(".traces-span:not([hidden])")
    assert "from=" in page.url
    # The plan: the setup is taken, the card printed.
    page.click("nav >> text=Next pass")
    page.wait_for_selector(".ladder", timeout=120_000)
    with page.expect_download() as download:
        page.get_by_role("button", name="Take this setup").click()
    assert "launch_rpm" in download.value.path().read_text()
    card_address = page.get_by_role("link", name="Card as PDF").get_attribute("href")
    answer = page.request.get(f"{empty_server.address}{card_address}")
    assert answer.body().startswith(b"%PDF")
    assert page.faults == []


def test_a_doubtful_column_is_asked_about_once(own_server, visitor, tmp_path):
    # A pressure of which nothing says whether it counts from vacuum or from the day's air.
    page = visitor(server=own_server)
    for number in (4, 5):
        log = tmp_path / f"doubtful{number}.csv"
        log.write_text(log_text(1.0 + 0.01 * number).replace("Boost Target (kPa abs)", "Boost Target (kPa)"))
        page.goto(f"{own_server.address}{CAR}")
        page.set_input_files(".drop input", log)
        page.get_by_text("Keep this pass").click()
        if number == 4:
            page.wait_for_selector("text=Which column is what?")
            page.get_by_label("Boost Target (kPa)").select_option("target_pressure_kpa:kPa absolute")
            page.get_by_text("Keep this pass").click()
        page.wait_for_url(f"**/pass/{number}")
    answer = page.request.get(f"{own_server.address}/api/cars/Sedgeford%20estate/passes/5/review").json()
    assert "target_pressure_kpa" in answer["quality"]["channels_found"]


def test_two_browsers_on_one_book(own_server, visitor, tmp_path):
    laptop, phone = visitor(1400, server=own_server), visitor(390, server=own_server)
    for page in (laptop, phone):
        page.goto(f"{own_server.address}{CAR}")
        page.wait_for_selector(".now .ladder")
    for page, number in ((laptop, 4), (phone, 5)):
        log = tmp_path / f"pass{number}.csv"
        log.write_text(log_text(1.0 + 0.01 * number))
        page.set_input_files(".drop input", log)
        page.wait_for_selector(".dropped")
    # Both keep at the same time.
    laptop.get_by_text("Keep this pass").click(no_wait_after=True)
    phone.get_by_text("Keep this pass").click(no_wait_after=True)
    for page in (laptop, phone):
        page.wait_for_url("**/pass/*")
    laptop.goto(f"{own_server.address}{CAR}/passes")
    assert laptop.locator("tbody tr").count() == 5


def test_a_server_that_died_comes_back_with_everything(own_server, visitor):
    page = visitor(server=own_server)
    page.goto(f"{own_server.address}{CAR}/next")
    page.wait_for_selector(".what-if")
    page.get_by_role("button", name="Take this setup").click()
    page.wait_for_selector("text=Taken")
    page.evaluate("window.isOld = true")
    own_server.kill()
    own_server.start()
    # The page finds its server again by itself and is drawn anew.
    page.wait_for_function("!window.isOld && document.querySelector('.what-if')")
    page.get_by_label("launch", exact=True).fill("4700")
    page.wait_for_function("document.querySelector('.what-if + .stack .hero-figure').innerText.startsWith('11.08')")
    answer = page.request.get(f"{own_server.address}/api/cars/Sedgeford%20estate/passes")
    assert len(answer.json()) == 3
