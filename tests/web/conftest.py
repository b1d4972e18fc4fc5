"""A book, an API client and a user of the pages, none of which opens a port."""

import shutil

import httpx
import pytest
from nicegui.testing.user_simulation import user_simulation
from tests.web.sample_book import CAR_NAME, SampleDesk, make_book

from nextpass.book import open_book
from nextpass.web.api import make_api
from nextpass.web.pages import add_pages
from nextpass.web.staging import Staging


@pytest.fixture(scope="session")
def sample_book(tmp_path_factory):
    """The folder of a book with three passes, closed: each test works on its own copy."""
    place = tmp_path_factory.mktemp("sample")
    make_book(place).close()
    return place / "book"


@pytest.fixture
def desk(sample_book, tmp_path):
    shutil.copytree(sample_book, tmp_path / "book")
    desk = SampleDesk(open_book(tmp_path / "book"))
    yield desk
    desk.close()


@pytest.fixture
def staging():
    staging = Staging()
    yield staging
    staging.clear()


@pytest.fixture
async def api(desk, staging):
    transport = httpx.ASGITransport(app=make_api(desk, staging))
    async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as client:
        yield client


@pytest.fixture
async def user(desk, staging):
    async with user_simulation() as user:
        add_pages(desk, staging)
        yield user


@pytest.fixture
def car_path():
    return f"/car/{CAR_NAME.replace(' ', '%20')}"
