"""The contract's own examples, and files that differ from them in one place."""

from pathlib import Path

import pytest

from nextpass.files import read_car

CONTRACT = Path(__file__).parent / "contract"


@pytest.fixture(scope="session")
def car_example():
    return (CONTRACT / "car.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def pass_example():
    return (CONTRACT / "pass.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def contract_car():
    return read_car(CONTRACT / "car.toml")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """An empty folder to work in, so that messages name files as a user would: without the way to them."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def write(folder):
    def write_file(name, content):
        path = Path(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return path

    return write_file
