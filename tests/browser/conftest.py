"""A real server in a process of its own and a real headless Chromium; loopback only, any free port."""

import pytest
from playwright.sync_api import sync_playwright
from tests.browser.serving import ARGUMENTS, CHROMIUM, PROGRAM, Server
from tests.web.sample_book import make_book


@pytest.fixture(scope="session")
def sample_server(tmp_path_factory):
    """Pages over a small book with ready-made plans, for tests that look and do not keep."""
    place = tmp_path_factory.mktemp("browser")
    make_book(place).close()
    server = Server(["-m", "tests.browser.sample_server", str(place / "book")]).start()
    yield server
    server.stop()


@pytest.fixture
def own_server(tmp_path):
    """The same with a book of the test's own, which it may change, kill and start again."""
    make_book(tmp_path).close()
    server = Server(["-m", "tests.browser.sample_server", str(tmp_path / "book")]).start()
    yield server
    server.stop()


@pytest.fixture
def empty_server(tmp_path):
    """The program itself over an empty book, plans and all."""
    server = Server(["-c", PROGRAM, "serve", "--book", str(tmp_path / "book"), "--port"]).start()
    yield server
    server.stop()


@pytest.fixture(scope="module")
def chromium():
    # Not for the session: while it lives its event loop runs in this thread, and the tests of the pages need their own.
    if CHROMIUM is None:
        pytest.skip("no Chromium on the PATH: sh tests/browser/install-chromium.sh")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def visitor(chromium):
    """Makes pages of separate visitors: a width, a view, and the faults that their browser reported."""
    contexts = []

    def visit(width=1400, view="en.bar.absolute.kmh.day", server=None, **options):
        context = chromium.new_context(
            viewport={"width": width, "height": 900},
            has_touch=width < 800,
            locale="en-GB",
            accept_downloads=True,
            **options,
        )
        contexts.append(context)
        if server is not None:
            context.add_cookies([{"name": "nextpass-view", "value": view, "url": server.address}])
        page = context.new_page()
        page.set_default_timeout(60_000)
        page.faults = []
        page.hosts = set()
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        page.on("request", lambda request: page.hosts.add(request.url.split("/")[2] if "//" in request.url else "data"))
        return page

    yield visit
    for context in contexts:
        context.close()
