"""The server: pages and answers over one book, behind the gate."""

import logging
import socket
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import segno
import uvicorn
from fastapi import FastAPI, Response
from nicegui import ui
from starlette.staticfiles import StaticFiles

from nextpass.errors import NextpassError
from nextpass.jobs import Desk, open_desk
from nextpass.report import TYPEFACE_FOLDER
from nextpass.web.access import Gate, Keys, Rules, host_names, is_loopback, local_address
from nextpass.web.api import make_api
from nextpass.web.pages import add_pages
from nextpass.web.staging import Staging
from nextpass.web.theme import MARK_SVG, STATIC_FOLDER, style_sheet
from nextpass.words import phrase

DEFAULT_PORT = 8470
_LOOPBACK = "127.0.0.1"
# A page that lost its server keeps trying; the server keeps a page's state so long for it.
_RECONNECT_S = 30.0


def serve(place: Path | str, host: str = _LOOPBACK, port: int = DEFAULT_PORT, lan: bool = False) -> None:
    """Serve a book until the process is told to stop.

    Parameters
    ----------
    place : Path or str
        The book: its folder or its database's address.
    host : str
        Address to listen on; anything but this machine needs `lan`.
    port : int
        To listen on.
    lan : bool
        Whether other machines of the local network may come in, each with a link that works once.

    Raises
    ------
    BookError
        The book cannot be opened.
    NextpassError
        The address would open the server to others without `lan`, or the port is taken.
    """
    desk = open_desk(place)
    try:
        serve_desk(desk, host, port, lan)
    finally:
        desk.close()


def serve_desk(desk: Desk, host: str = _LOOPBACK, port: int = DEFAULT_PORT, lan: bool = False) -> None:
    """Serve a desk until the process is told to stop; arguments and refusals as for `serve`."""
    address = _outer_address(host, lan)
    keys = Keys() if lan else None
    with _listening("0.0.0.0" if lan else host, port) as listener:
        app = make_app(desk)
        _announce(port, address, keys)
        config = uvicorn.Config(
            Gate(app, Rules(hosts=host_names([address] if address else [], port), keys=keys)),
            log_level="warning",
            # What a client writes about itself into headers is never believed.
            proxy_headers=False,
            server_header=False,
        )
        with suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listener])


def _outer_address(host: str, lan: bool) -> str | None:
    if not lan:
        if not is_loopback(host):
            raise NextpassError(phrase("refusal.web.reachable", host=host), remedy=phrase("refusal.web.add_lan"))
        return None
    address = local_address() if is_loopback(host) else host
    if address is None:
        raise NextpassError(phrase("refusal.web.no_network"), remedy=phrase("refusal.web.join_network"))
    return address


def _listening(host: str, port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
    except OSError as error:
        listener.close()
        raise NextpassError(
            phrase("refusal.web.port_taken", port=port, why=error.strerror), remedy=phrase("refusal.web.other_port")
        ) from error
    return listener


def make_app(desk: Desk) -> FastAPI:
    """Pages and answers over a desk, without the gate.

    Parameters
    ----------
    desk : Desk
        With the book open; the caller closes it.

    Returns
    -------
    FastAPI
        An ASGI application.
    """
    logging.getLogger("nextpass").setLevel(logging.INFO)
    staging = Staging()

    @asynccontextmanager
    async def life(_app: FastAPI) -> AsyncIterator[None]:
        yield
        staging.clear()

    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None, lifespan=life)
    sheet = style_sheet()

    @app.get("/static/nextpass.css")
    def styles() -> Response:
        return Response(sheet, media_type="text/css", headers={"cache-control": "public, max-age=31536000, immutable"})

    @app.get("/static/Archivo.woff2")
    def typeface() -> Response:
        content = (TYPEFACE_FOLDER / "Archivo.woff2").read_bytes()
        return Response(content, media_type="font/woff2", headers={"cache-control": "public, max-age=31536000"})

    app.mount("/static", StaticFiles(directory=STATIC_FOLDER))
    app.mount("/api", make_api(desk, staging))
    add_pages(desk, staging)
    ui.run_with(
        app,
        title="nextpass",
        favicon=MARK_SVG,
        reconnect_timeout=_RECONNECT_S,
        tailwind=False,
        show_welcome_message=False,
    )
    return app


def _announce(port: int, address: str | None, keys: Keys | None) -> None:
    sys.stderr.write(f"nextpass serves http://{_LOOPBACK}:{port} (stop with Ctrl-C)\n")
    sys.stderr.flush()
    if address is None or keys is None:
        return

    def show_link() -> None:
        link = f"http://{address}:{port}/?key={keys.new_link_key()}"
        sys.stderr.write(f"for one phone in the lane, once: {link}\n\n")
        segno.make(link, micro=False).terminal(out=sys.stderr, compact=True)
        sys.stderr.flush()

    keys.on_used = show_link
    show_link()
