"""The screen, measured in a real browser: first useful paint, a zoom in a long log, a what-if slider.

Each figure is taken inside the browser, from the gesture to the frame in which the answer is drawn, against the server
that `nextpass serve` starts. The floors are what the same browser and server take without our work: an empty page, a
redraw of lines that are already there, the bare answer of the API.
"""

import re
import shutil
import statistics
import tempfile
from dataclasses import replace
from pathlib import Path
from urllib.parse import quote

import numpy as np
import polars as pl
from playwright.sync_api import Browser, Page, sync_playwright
from tests.browser.serving import ARGUMENTS, CHROMIUM, PROGRAM, Server

from benchmarks.figure import Figure
from nextpass.files import read_pass, write_pass
from nextpass.jobs import Desk, KeptCar, open_desk
from nextpass.proving import demo_day, drive_demo_pass, write_car_file, write_pass_folder

PASSES = 200
LONG_ROWS, LONG_COLUMNS = 84_000, 150
PATIENCE_MS = 300_000
# When the ET of the newest pass stands on the page, as the page itself sees it.
PAINT_SCRIPT = """
window.usefulMs = null;
const look = () => {
  const figure = document.querySelector('.hero-main .hero-figure');
  if (figure && /[0-9]/.test(figure.textContent)) requestAnimationFrame(() => (window.usefulMs ??= performance.now()));
  else setTimeout(look, 4);
};
document.addEventListener('DOMContentLoaded', look);
"""
# From the end of a drag to the frame after the lines of the new window were drawn.
ZOOM_SCRIPT = """
async ([from, to]) => {
  const traces = document.querySelector('.traces'), box = traces.getBoundingClientRect();
  const at = (share) => box.left + 240 + share * (box.width - 260);
  const point = (share, kind) => new PointerEvent(kind, { bubbles: true, pointerId: 1, button: 0, clientX: at(share),
    clientY: box.top + 100, pointerType: 'mouse' });
  HTMLElement.prototype.setPointerCapture = () => {};
  traces.dispatchEvent(point(from, 'pointerdown'));
  traces.dispatchEvent(point(to, 'pointermove'));
  const before = traces.dataset.drawn;
  const start = performance.now();
  traces.dispatchEvent(point(to, 'pointerup'));
  while (traces.dataset.drawn === before) await new Promise(requestAnimationFrame);
  await new Promise(requestAnimationFrame);
  return performance.now() - start;
}
"""
# The lines of one channel from the API, without any drawing.
FETCH_SCRIPT = """
async (address) => {
  const start = performance.now();
  await (await fetch(`${address}?channel=engine_rpm&points=2000`)).json();
  return performance.now() - start;
}
"""
SLIDER_SCRIPT = """
async (value) => {
  const slider = document.querySelector('.what-if input[type=range]');
  const figure = document.querySelector('.what-if + .stack');
  const before = figure.innerHTML;
  const start = performance.now();
  slider.value = value;
  slider.dispatchEvent(new Event('input', { bubbles: true }));
  while (figure.innerHTML === before) await new Promise(requestAnimationFrame);
  return performance.now() - start;
}
"""


def run(quick: bool = False) -> list[Figure]:
    """Every figure of the screen; `quick` takes fewer repeats.

    Parameters
    ----------
    quick : bool
        Fewer repeats.

    Returns
    -------
    list of Figure
        Medians.
    """
    repeats = 5 if quick else 15
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        desk, kept = _book(folder)
        try:
            long_car = _add_long_log(desk, folder)
        finally:
            desk.close()
        server = Server(["-c", PROGRAM, "serve", "--book", str(folder / "book"), "--port"]).start()
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
                figures = [
                    _paint(browser, server.address, kept.name, repeats),
                    _zoom(browser, server.address, long_car, repeats),
                    _slider(browser, server.address, kept.name, repeats),
                ]
                browser.close()
                return figures
        finally:
            server.stop()


def _book(folder: Path) -> tuple[Desk, KeptCar]:
    """A season of 200 passes of the demo's car: three logs, reviewed once each and kept again under other numbers."""
    day = demo_day()
    car_file = write_car_file(day.car, folder / "car.toml")
    desk = open_desk(folder / "book")
    kept = desk.add_car(car_file.read_text(encoding="utf-8"))
    car = desk.car(kept)
    logs = []
    for one in day.passes:
        outcome = drive_demo_pass(day, one.setup, one.conditions, one.number)
        logs.append(read_pass(write_pass_folder(outcome, day.logger, folder / f"drive{one.number}", number=1), car))
    for number in range(1, PASSES + 1):
        record = logs[number % len(logs)]
        place = folder / f"pass{number}"
        place.mkdir()
        shutil.copyfile(record.logs[0], place / record.logs[0].name)
        write_pass(place, replace(record, folder=place, logs=(place / record.logs[0].name,), number=number))
        desk.add_pass(kept, place)
    return desk, kept


def _add_long_log(desk: Desk, folder: Path) -> str:
    """A second car whose one pass has a log of 84,000 rows and 150 columns; gives the car's name."""
    file = (folder / "car.toml").read_text(encoding="utf-8")
    name = "Long log"
    kept = desk.add_car(re.sub(r'^name = "[^"]*"', f'name = "{name}"', file, count=1, flags=re.M))
    source = read_pass(folder / "drive1", desk.car(kept))
    place = folder / "long"
    place.mkdir()
    table = pl.read_csv(source.logs[0], infer_schema_length=None)
    time_name, *names = table.columns
    time_s = table[time_name].to_numpy()
    long_s = np.arange(LONG_ROWS) * (time_s[-1] / 0.05) / LONG_ROWS
    columns = {time_name: long_s} | {
        name: np.interp(long_s, time_s, table[name].cast(pl.Float64).to_numpy()) for name in names
    }
    rng = np.random.default_rng(5)
    for extra in range(LONG_COLUMNS - len(columns)):
        columns[f"Extra {extra}"] = np.round(rng.standard_normal(LONG_ROWS).cumsum(), 3)
    pl.DataFrame(columns).write_csv(place / "log.csv", float_precision=4)
    write_pass(place, replace(source, folder=place, logs=(place / "log.csv",)))
    desk.add_pass(kept, place)
    return name


def _page(browser: Browser, script: str = "") -> Page:
    page = browser.new_page(viewport={"width": 1400, "height": 900})
    page.set_default_timeout(PATIENCE_MS)
    if script:
        page.add_init_script(script)
    return page


def _paint(browser: Browser, address: str, car: str, repeats: int) -> Figure:
    page = _page(browser, PAINT_SCRIPT)
    useful_ms, empty_ms = [], []
    for _ in range(repeats + 1):
        page.goto(f"{address}/car/{quote(car)}")
        page.wait_for_function("window.usefulMs !== null")
        useful_ms.append(page.evaluate("window.usefulMs"))
        # A page of the same library with no record on it.
        page.goto(f"{address}/new", wait_until="commit")
        page.wait_for_selector("h1")
        empty_ms.append(page.evaluate("performance.now()"))
    page.close()
    return Figure(
        name=f"first useful paint, a book of {PASSES} passes",
        value=statistics.median(useful_ms[1:]) / 1000.0,
        unit="s",
        floor=statistics.median(empty_ms[1:]) / 1000.0,
        floor_name="a page without records",
        target="<= 1.5",
    )


def _zoom(browser: Browser, address: str, car: str, repeats: int) -> Figure:
    page = _page(browser)
    page.goto(f"{address}/car/{quote(car)}/pass/1/traces")
    page.wait_for_selector(".traces[data-ready=yes]")
    zoom_ms, bare_ms = [], []
    for place in range(repeats):
        page.locator(".traces").focus()
        page.keyboard.press("Home")
        page.wait_for_timeout(400)
        zoom_ms.append(page.evaluate(ZOOM_SCRIPT, [0.1 + 0.02 * place, 0.5 + 0.02 * place]))
        bare_ms.append(page.evaluate(FETCH_SCRIPT, f"{address}/api/cars/{quote(car)}/passes/1/traces"))
    page.close()
    return Figure(
        name=f"zoom in a log of {LONG_ROWS} x {LONG_COLUMNS}, gesture to redrawn",
        value=statistics.median(zoom_ms),
        unit="ms",
        floor=statistics.median(bare_ms),
        floor_name="the bare answer of the API",
        target="<= 200",
    )


def _slider(browser: Browser, address: str, car: str, repeats: int) -> Figure:
    page = _page(browser)
    page.goto(f"{address}/car/{quote(car)}/next")
    page.wait_for_selector(".what-if input[type=range]")
    slider = page.locator(".what-if input[type=range]").first
    low, high, step = (float(slider.get_attribute(name) or 0.0) for name in ("min", "max", "step"))
    values = np.arange(low, high + 0.5 * step, step)
    slider_ms = [page.evaluate(SLIDER_SCRIPT, float(values[(7 * count) % len(values)])) for count in range(repeats + 1)]
    page.close()
    return Figure(
        name="what-if slider, input to forecast drawn",
        value=statistics.median(slider_ms[1:]),
        unit="ms",
        target="<= 300",
    )
