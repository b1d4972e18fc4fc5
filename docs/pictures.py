"""The pictures of the documents: every page over the demo's book, and the card.

    python -m docs.pictures

Writes docs/pictures/*.png. The demo's passes are the same at each run, so that a picture changes when a page does.
"""

import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright
from tests.browser.serving import ARGUMENTS, CHROMIUM, PROGRAM, Server

from nextpass.jobs import run_demo
from nextpass.report import card_png
from nextpass.units import ShownUnits

FOLDER = Path(__file__).parent / "pictures"
DAY, NIGHT = "en.bar.absolute.kmh.day", "de.psi.gauge.mph.night"
# Name of the picture: path below the car, what to wait for, width, view.
PICTURES = {
    "today": ("", ".now-stop, .now .ladder", 1400, DAY),
    "pass": ("/pass/2", ".traces[data-ready=yes]", 1400, DAY),
    "traces": ("/pass/3/traces?with=2", ".traces[data-ready=yes]", 1400, DAY),
    "next": ("/next", ".what-if", 1400, DAY),
    "car": ("/file", ".passes-say:not(:empty)", 1400, DAY),
    "compare": ("/compare?before=1&after=2", ".gains", 1400, DAY),
    "ledger": ("/ledger", ".trends", 1400, DAY),
    "codes": ("/codes?codes=P0299+P0171&with=3", ".causes", 1400, DAY),
    "bench": ("/bench", ".ways", 1400, DAY),
    "sum": ("/bench/supply", ".worked", 1400, DAY),
    "compare-phone": ("/compare?before=1&after=2", ".gains", 390, DAY),
    "ledger-phone-night": ("/ledger", ".trends", 390, NIGHT),
    "codes-phone": ("/codes?codes=P0299+P0171&with=3", ".causes", 390, DAY),
    "today-phone": ("", ".now-stop, .now .ladder", 390, DAY),
    "next-phone-night": ("/next", ".what-if", 390, NIGHT),
    "pass-phone": ("/pass/2", ".traces[data-ready=yes]", 390, DAY),
}
# The whole of a long page would be a picture nobody looks at.
HEIGHT = {1400: 1500, 390: 1700}
PATIENCE_MS = 300_000


def main() -> None:
    """Take every picture."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as place:
        demo = run_demo(Path(place) / "book", ShownUnits())
        (FOLDER / "card.png").write_bytes(
            card_png(demo.car, demo.plan, ShownUnits(), findings=demo.passes[-1].review.findings)
        )
        server = Server(["-c", PROGRAM, "serve", "--book", str(demo.book), "--port"]).start()
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
                for name, (path, mark, width, view) in PICTURES.items():
                    _take(browser, server, name, path, mark, width, view)
                browser.close()
        finally:
            server.stop()


def _take(browser: Browser, server: Server, name: str, path: str, mark: str, width: int, view: str) -> None:
    context = browser.new_context(viewport={"width": width, "height": HEIGHT[width]}, has_touch=width < 800)
    context.add_cookies([{"name": "nextpass-view", "value": view, "url": server.address}])
    page = context.new_page()
    page.goto(server.address, timeout=PATIENCE_MS)
    page.goto(f"{page.url}{path}", timeout=PATIENCE_MS)
    page.wait_for_selector(mark, timeout=PATIENCE_MS)
    page.wait_for_load_state("networkidle")
    page.screenshot(path=FOLDER / f"{name}.png")
    print(f"docs/pictures/{name}.png")
    context.close()


if __name__ == "__main__":
    main()
