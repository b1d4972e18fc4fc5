"""Who may ask the server, and for what: the gate before every page, every answer and every socket.

The server listens to this machine alone unless its owner opens it to the local network; then every other machine needs
a link that works once and leaves a key in the browser that used it. Whatever the address, a request is refused when it
names another host (a name that was bent to this address), comes from another site's page, climbs out of its path, or
brings more than an upload may hold. Nothing here knows what the pages show; a refusal is one line of plain text in the
visitor's language.
"""

import hashlib
import ipaddress
import secrets
import socket
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, quote, unquote, urlencode

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from nextpass.web.state import VIEW_COOKIE, view_of
from nextpass.words import Phrase, phrase, translated

KEY_COOKIE = "nextpass-key"
KEY_PARAMETER = "key"
# A log of 84,000 rows and 150 columns is about 95 MB of text; several may come at once.
MOST_BODY_BYTES = 400 * 1024 * 1024
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE"})
# The pages compile their templates in the browser and carry their styles inline; nothing may come from elsewhere.
_CONTENT_POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self' {sockets}; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
_HEADERS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


class Refused(Exception):  # noqa: N818 - an answer, not a fault
    """A request that goes no further."""

    def __init__(self, status: HTTPStatus, reason: Phrase) -> None:
        super().__init__(status, reason)
        self.status = status
        self.reason = reason


def _nobody() -> None:
    """Tells nobody."""


@dataclass(slots=True, kw_only=True)
class Keys:
    """Links that admit a browser once, and the keys of browsers that were admitted; hashes only."""

    links: set[str] = field(default_factory=set)
    admitted: set[str] = field(default_factory=set)
    # Told when a link was used up: the next phone needs a new one.
    on_used: Callable[[], object] = _nobody

    def new_link_key(self) -> str:
        """A key for one link, which the next browser that brings it uses up."""
        key = secrets.token_urlsafe(24)
        self.links.add(_hash(key))
        return key

    def admit(self, link_key: str) -> str | None:
        """A key for the browser that brings a link's key, or None where that key is wrong or used up."""
        hashed = _hash(link_key)
        if hashed not in self.links:
            return None
        self.links.discard(hashed)
        browser_key = secrets.token_urlsafe(32)
        self.admitted.add(_hash(browser_key))
        self.on_used()
        return browser_key

    def knows(self, browser_key: str) -> bool:
        """Whether a browser was admitted."""
        return _hash(browser_key) in self.admitted


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What the gate goes by.

    Parameters
    ----------
    hosts : frozenset of str
        Names and addresses, with port, by which the server may be called.
    keys : Keys or None
        Where other machines need a key; None where only this machine is listened to.
    most_body_bytes : int
        Largest body of a request.
    """

    hosts: frozenset[str]
    keys: Keys | None = None
    most_body_bytes: int = MOST_BODY_BYTES


class Gate:
    """The application behind the rules."""

    def __init__(self, app: ASGIApp, rules: Rules) -> None:
        self.app = app
        self.rules = rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it here."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        try:
            _check_host(headers, self.rules)
            _check_request(scope, headers, self.rules)
            admitted = _admission(scope, headers, self.rules.keys)
        except Refused as refusal:
            await _refuse(scope, receive, send, headers, refusal)
            return
        if admitted is not None:
            await _send_admission(scope, send, admitted)
            return
        await self._pass_on(scope, receive, send, headers)

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send, headers: Headers) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        state = _Passage(receive=receive, send=send, most=self.rules.most_body_bytes, host=headers.get("host", ""))
        try:
            await self.app(scope, state.receive_counted, state.send_guarded)
        except Refused as refusal:
            if not state.has_begun:
                await _refuse(scope, receive, send, headers, refusal)


@dataclass(slots=True, kw_only=True)
class _Passage:
    """One request on its way through: the body is counted, the answer gets its headers."""

    receive: Receive
    send: Send
    most: int
    host: str
    received: int = 0
    has_begun: bool = False

    async def receive_counted(self) -> Message:
        message = await self.receive()
        self.received += len(message.get("body", b""))
        if self.received > self.most:
            raise _too_large(self.most)
        return message

    async def send_guarded(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.has_begun = True
            _guard_headers(MutableHeaders(scope=message), self.host)
        await self.send(message)


def local_address() -> str | None:
    """Address of this machine in the local network.

    Returns
    -------
    str or None
        None where there is no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Choosing a route sends nothing; the address is one that documentation keeps free (RFC 5737).
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return None
        address = str(probe.getsockname()[0])
    return None if is_loopback(address) else address


def is_loopback(address: str) -> bool:
    """Whether an address or name is this machine alone.

    Parameters
    ----------
    address : str
        An IP address, or ``localhost``.

    Returns
    -------
    bool
        False for anything that is no address.
    """
    try:
        return ipaddress.ip_address(address.strip("[]")).is_loopback
    except ValueError:
        return address == "localhost"


def host_names(addresses: Iterable[str], port: int) -> frozenset[str]:
    """Every way in which a browser may write the address of this server.

    Parameters
    ----------
    addresses : iterable of str
        Addresses in the local network.
    port : int
        That is listened to.

    Returns
    -------
    frozenset of str
        As in a Host header.
    """
    names = ("127.0.0.1", "localhost", "[::1]", *addresses)
    with_port = {f"{name}:{port}" for name in names}
    # A browser leaves the port out where it is the scheme's own.
    return frozenset(with_port | (set(names) if port == 80 else set()))


def _check_host(headers: Headers, rules: Rules) -> None:
    if headers.getlist("host") != [headers.get("host", "")] or headers.get("host", "").lower() not in rules.hosts:
        raise Refused(HTTPStatus.MISDIRECTED_REQUEST, phrase("refusal.gate.host"))


def _too_large(most_bytes: int) -> Refused:
    said = phrase("refusal.gate.too_large", megabytes=most_bytes >> 20)
    return Refused(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, said)


def _check_request(scope: Scope, headers: Headers, rules: Rules) -> None:
    if scope["type"] == "http" and scope["method"] not in _METHODS:
        raise Refused(HTTPStatus.METHOD_NOT_ALLOWED, phrase("refusal.gate.method"))
    _check_path(scope)
    _check_origin(scope, headers)
    length = headers.get("content-length", "0")
    if not length.isdecimal() or int(length) > rules.most_body_bytes:
        raise _too_large(rules.most_body_bytes)


def _check_path(scope: Scope) -> None:
    raw = scope.get("raw_path") or quote(scope["path"]).encode()
    # Decoded twice: a path that hides its dots behind a second layer is no better than one that shows them.
    path = unquote(unquote(raw.decode("latin-1")))
    parts = path.split("/")
    if ".." in parts or "." in parts or "\\" in path or any(ord(character) < 32 for character in path):
        raise Refused(HTTPStatus.BAD_REQUEST, phrase("refusal.gate.path"))


def _check_origin(scope: Scope, headers: Headers) -> None:
    origin = headers.get("origin")
    if origin is not None and origin.lower() not in {f"http://{headers['host'].lower()}"}:
        raise Refused(HTTPStatus.FORBIDDEN, phrase("refusal.gate.other_site"))
    is_foreign = headers.get("sec-fetch-site", "none") not in ("same-origin", "none")
    is_link_followed = (
        scope["type"] == "http"
        and scope["method"] == "GET"
        and headers.get("sec-fetch-mode") == "navigate"
        and headers.get("sec-fetch-dest") == "document"
    )
    if is_foreign and not is_link_followed:
        raise Refused(HTTPStatus.FORBIDDEN, phrase("refusal.gate.other_site"))


def _admission(scope: Scope, headers: Headers, keys: Keys | None) -> str | None:
    """Key for a browser that has just brought a link, None for one that may pass; refuses every other."""
    client = scope.get("client")
    if keys is None or (client is not None and is_loopback(client[0])):
        return None
    if keys.knows(_cookie(headers, KEY_COOKIE)):
        return None
    brought = dict(parse_qsl(scope["query_string"].decode("latin-1"))).get(KEY_PARAMETER, "")
    is_page = scope["type"] == "http" and scope["method"] == "GET"
    admitted = keys.admit(brought) if brought and is_page else None
    if admitted is None:
        raise Refused(HTTPStatus.UNAUTHORIZED, phrase("refusal.gate.no_key"))
    return admitted


def _cookie(headers: Headers, name: str) -> str:
    try:
        jar = SimpleCookie(headers.get("cookie", ""))
    except CookieError:
        return ""
    return jar[name].value if name in jar else ""


async def _send_admission(scope: Scope, send: Send, browser_key: str) -> None:
    query = [pair for pair in parse_qsl(scope["query_string"].decode("latin-1")) if pair[0] != KEY_PARAMETER]
    # The key must not stay in the address, where history and screenshots would keep it.
    place = quote(scope["path"]) + (f"?{urlencode(query)}" if query else "")
    cookie = f"{KEY_COOKIE}={browser_key}; HttpOnly; SameSite=Strict; Path=/; Max-Age=86400"
    headers = [(b"location", place.encode()), (b"set-cookie", cookie.encode()), (b"cache-control", b"no-store")]
    await send({"type": "http.response.start", "status": HTTPStatus.SEE_OTHER, "headers": headers})
    await send({"type": "http.response.body", "body": b""})


async def _refuse(scope: Scope, receive: Receive, send: Send, asked: Headers, refusal: Refused) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008})
        return
    view = view_of(_cookie(asked, VIEW_COOKIE), asked.get("accept-language", ""))
    said = translated(refusal.reason, view.language)
    headers = MutableHeaders({"content-type": "text/plain; charset=utf-8", "cache-control": "no-store"})
    _guard_headers(headers, "")
    await send({"type": "http.response.start", "status": refusal.status, "headers": headers.raw})
    await send({"type": "http.response.body", "body": said.encode()})


def _guard_headers(headers: MutableHeaders, host: str) -> None:
    for name, value in _HEADERS.items():
        headers[name] = value
    # Some browsers do not count the socket of the same address to 'self'.
    headers["content-security-policy"] = _CONTENT_POLICY.format(sockets=f"ws://{host}" if host else "")


def _hash(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()
