"""A book on each database: SQLite in a folder, and PostgreSQL on a server that the tests start and stop."""

import os
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

import pytest

from nextpass.book import open_book

# What a server needs of the system: Debian's package, or any installation on the PATH.
SERVER_FOLDERS = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
NO_SERVER = "PostgreSQL is not installed: run tests/book/install-postgresql.sh"


def server_program(name: str) -> str | None:
    return next((str(place / name) for place in SERVER_FOLDERS if (place / name).exists()), shutil.which(name))


def as_server_user(*words: str) -> list[str]:
    """The server refuses to run as root: then it is run as nobody."""
    return ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", *words] if os.getuid() == 0 else [*words]


@pytest.fixture(scope="session")
def postgres():
    """URL of a fresh server on a socket of its own; nothing listens on a network."""
    initdb, server = server_program("initdb"), server_program("postgres")
    if initdb is None or server is None:
        pytest.skip(NO_SERVER)
    place = Path(tempfile.mkdtemp(prefix="nextpass-pg-"))
    data = place / "data"
    try:
        if os.getuid() == 0:
            os.chown(place, 65534, 65534)
        made = subprocess.run(
            as_server_user(initdb, "-D", str(data), "-U", "workshop", "-A", "trust", "-E", "UTF8", "--no-sync"),
            capture_output=True,
            text=True,
            cwd=place,
            check=False,
        )
        assert made.returncode == 0, made.stderr
        words = ["-c", "listen_addresses=", "-c", f"unix_socket_directories={place}", "-c", "fsync=off"]
        with (place / "log").open("w") as log:
            process = subprocess.Popen(as_server_user(server, "-D", str(data), *words), stderr=log, cwd=place)
        try:
            url = f"postgresql://workshop@/postgres?host={place}"
            wait_for(url)
            yield url
        finally:
            # A fast stop: it does not wait for those who are still connected.
            process.send_signal(2)
            process.wait(timeout=30)
    finally:
        shutil.rmtree(place, ignore_errors=True)


def wait_for(url: str) -> None:
    import psycopg

    for _ in range(600):
        try:
            psycopg.connect(url).close()
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            return
    pytest.fail("the server does not answer")


@pytest.fixture(scope="session")
def empty_folder(tmp_path_factory):
    """An empty book, to be copied: making one takes a second."""
    folder = tmp_path_factory.mktemp("empty") / "book"
    open_book(folder).close()
    return folder


@pytest.fixture(scope="session")
def empty_database(postgres, tmp_path_factory):
    """The same on the server: the name of a database that new ones are made like."""
    folder = tmp_path_factory.mktemp("empty") / "book"
    create_database(postgres, "empty", like="template0")
    open_book(f"{postgres.replace('/postgres?', '/empty?')}&logs={folder}").close()
    return "empty"


def create_database(server: str, name: str, like: str) -> None:
    import psycopg

    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"create database {name} template {like}")


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request, tmp_path):
    """Where a book is, on each database in turn."""
    folder = tmp_path / "book"
    if request.param == "sqlite":
        shutil.copytree(request.getfixturevalue("empty_folder"), folder)
        return str(folder)
    server, empty = request.getfixturevalue("postgres"), request.getfixturevalue("empty_database")
    name = f"book_{os.urandom(6).hex()}"
    create_database(server, name, like=empty)
    return f"{server.replace('/postgres?', f'/{name}?')}&logs={folder}"


@pytest.fixture
def book(place):
    opened = open_book(place)
    yield opened
    opened.close()
