"""The gate: who is let in, and what is refused before any page sees it."""

from http import HTTPStatus

import httpx
import pytest

from nextpass.web.access import KEY_COOKIE, Gate, Keys, Rules, host_names, is_loopback
from nextpass.web.state import VIEW_COOKIE

HOME = "127.0.0.1:8123"
PHONE = ("192.168.7.20", 40112)
LAPTOP = ("127.0.0.1", 40113)
LAN_HOST = "192.168.7.5:8123"


async def echo(scope, receive, send):
    """The application behind the gate: counts what it was sent."""
    body = b""
    while True:
        message = await receive()
        body += message.get("body", b"")
        if not message.get("more_body"):
            break
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-type", b"text/plain")]})
    await send({"type": "http.response.body", "body": f"let in {len(body)}".encode()})


def rules(**changes):
    return Rules(hosts=host_names(["192.168.7.5"], 8123), **changes)


def browser(rules, client=LAPTOP, host=HOME, **kwargs):
    transport = httpx.ASGITransport(app=Gate(echo, rules), client=client)
    return httpx.AsyncClient(transport=transport, base_url=f"http://{host}", **kwargs)


async def test_this_machine_is_let_in():
    async with browser(rules()) as one:
        answer = await one.get("/")
    assert (answer.status_code, answer.text) == (200, "let in 0")


@pytest.mark.parametrize("host", ["strip.example", "127.0.0.1:9999", "192.168.7.6:8123", "", "127.0.0.1:8123.example"])
async def test_another_name_for_this_address_is_refused(host):
    async with browser(rules()) as one:
        answer = await one.get("/", headers={"host": host})
    assert answer.status_code == HTTPStatus.MISDIRECTED_REQUEST
    assert answer.text == (
        "This server does not answer to that name. Use the address that it showed when it was started."
    )


async def test_two_host_headers_are_refused():
    async with browser(rules()) as one:
        answer = await one.get("/", headers=[("host", HOME), ("host", "strip.example")])
    assert answer.status_code == HTTPStatus.MISDIRECTED_REQUEST


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://strip.example"},
        {"origin": "null"},
        {"origin": "https://127.0.0.1:8123"},
        {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"},
        {"sec-fetch-site": "same-site", "sec-fetch-mode": "cors"},
        {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "iframe"},
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
async def test_a_page_of_another_site_is_refused(headers, method):
    async with browser(rules()) as one:
        answer = await one.request(method, "/api/cars", headers=headers)
    assert answer.status_code == HTTPStatus.FORBIDDEN
    assert answer.text == "Requests from other sites are refused. Open this server's own page and ask from there."


async def test_a_link_on_another_site_may_be_followed_but_not_posted():
    navigation = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
    async with browser(rules()) as one:
        assert (await one.get("/", headers=navigation)).status_code == 200
        assert (await one.post("/", headers=navigation)).status_code == HTTPStatus.FORBIDDEN


async def test_the_own_pages_may_post():
    async with browser(rules()) as one:
        answer = await one.post(
            "/", headers={"origin": f"http://{HOME}", "sec-fetch-site": "same-origin"}, content=b"abc"
        )
    assert answer.text == "let in 3"


@pytest.mark.parametrize(
    "path",
    ["/../etc/passwd", "/a/%2e%2e/b", "/%252e%252e/b", "/a\\..\\b", "/a%5c..%5cb", "/a%00b", "/./a", "/a%0d%0ab"],
)
async def test_a_path_that_climbs_is_refused(path):
    # Straight to the gate: a client library would tidy the path up before sending it.
    sent = []

    async def receive():
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http",
        "method": "GET",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "headers": [(b"host", HOME.encode())],
        "client": LAPTOP,
    }
    await Gate(echo, rules())(scope, receive, send)
    assert sent[0]["status"] == HTTPStatus.BAD_REQUEST


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "OPTIONS", "PATCH"])
async def test_other_methods_are_refused(method):
    async with browser(rules()) as one:
        assert (await one.request(method, "/")).status_code == HTTPStatus.METHOD_NOT_ALLOWED


async def test_a_body_that_says_it_is_too_large_is_refused():
    async with browser(rules(most_body_bytes=2 << 20)) as one:
        answer = await one.post("/", content=b"x" * ((2 << 20) + 1))
    assert answer.status_code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    assert answer.text == (
        "The upload is larger than the 2 MB that this server takes. Send fewer or shorter logs at once."
    )


async def test_a_body_that_hides_its_size_is_cut_off():
    async def pieces():
        for _ in range(4):
            yield b"12345"

    async with browser(rules(most_body_bytes=10)) as one:
        answer = await one.post("/", content=pieces())
    assert answer.status_code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE


@pytest.mark.parametrize("length", ["-1", "1e3", "ten", "99999999999999999999"])
async def test_a_length_that_is_no_length_is_refused(length):
    async with browser(rules()) as one:
        answer = await one.post("/", headers={"content-length": length})
    assert answer.status_code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE


async def test_another_machine_needs_a_link_and_a_link_works_once():
    keys = Keys()
    link_key = keys.new_link_key()
    async with browser(rules(keys=keys), PHONE, LAN_HOST) as phone:
        assert (await phone.get("/")).status_code == HTTPStatus.UNAUTHORIZED
        admitted = await phone.get(f"/today?key={link_key}&units=psi")
        assert admitted.status_code == HTTPStatus.SEE_OTHER
        assert admitted.headers["location"] == "/today?units=psi"
        cookie = admitted.headers["set-cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=Strict" in cookie
        assert link_key not in cookie
        assert (await phone.get("/today")).status_code == 200
    async with browser(rules(keys=keys), PHONE, LAN_HOST) as other:
        assert (await other.get(f"/?key={link_key}")).status_code == HTTPStatus.UNAUTHORIZED


async def test_a_used_link_calls_for_the_next_one():
    called = []
    keys = Keys(on_used=lambda: called.append("again"))
    link_key = keys.new_link_key()
    async with browser(rules(keys=keys), PHONE, LAN_HOST) as phone:
        await phone.get("/?key=wrong")
        assert called == []
        await phone.get(f"/?key={link_key}")
    assert called == ["again"]


@pytest.mark.parametrize("key", ["", "wrong", "x" * 5000, "ünïcode"])
async def test_a_wrong_key_is_refused(key):
    keys = Keys()
    keys.new_link_key()
    async with browser(rules(keys=keys), PHONE, LAN_HOST, cookies={KEY_COOKIE: "wrong"}) as phone:
        answer = await phone.get("/", params={"key": key})
    assert answer.status_code == HTTPStatus.UNAUTHORIZED


async def test_a_key_is_not_taken_from_a_post():
    keys = Keys()
    link_key = keys.new_link_key()
    async with browser(rules(keys=keys), PHONE, LAN_HOST) as phone:
        assert (await phone.post(f"/?key={link_key}")).status_code == HTTPStatus.UNAUTHORIZED


async def test_the_machine_itself_needs_no_key_in_the_local_network():
    async with browser(rules(keys=Keys())) as laptop:
        assert (await laptop.get("/")).status_code == 200


@pytest.mark.parametrize(
    ("request_", "said"),
    [
        (
            {"headers": {"host": "strip.example"}},
            "Dieser Server hört nicht auf diesen Namen. Die Adresse verwenden, die er beim Start angezeigt hat.",
        ),
        (
            {"headers": {"origin": "http://strip.example"}},
            "Anfragen von anderen Seiten werden abgewiesen. Die eigene Seite dieses Servers öffnen und dort fragen.",
        ),
        (
            {"method": "PATCH"},
            "Diese Methode wird hier nicht beantwortet. Die Seiten verwenden, oder die Aufrufe in /api/openapi.json.",
        ),
        ({"url": "/%252e%252e/b"}, "Diesen Pfad gibt es auf diesem Server nicht. Auf der ersten Seite beginnen: /."),
        (
            {"method": "POST", "content": b"x" * ((1 << 20) + 1)},
            "Das ist mehr, als dieser Server auf einmal annimmt (1 MB). "
            "Weniger oder kürzere Aufzeichnungen auf einmal senden.",
        ),
        ({}, "Dafür braucht es den Link, den der Server anzeigt; jeder gilt einmal. Einen neuen geben lassen."),
    ],
)
async def test_a_german_browser_is_refused_in_german(request_, said):
    async with browser(rules(keys=Keys(), most_body_bytes=1 << 20), PHONE, LAN_HOST) as phone:
        phone.headers["accept-language"] = "de-AT,de;q=0.9,en;q=0.5"
        answer = await phone.request(**({"method": "GET", "url": "/"} | request_))
    assert answer.text == said
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"


@pytest.mark.parametrize(
    ("accepted", "cookies", "first_word"),
    [
        ("fr,de;q=0.8", {}, "Dafür"),
        ("fr", {}, "This"),
        ("de", {VIEW_COOKIE: "en.psi.gauge.mph.day"}, "This"),
        ("en", {VIEW_COOKIE: "de.bar.absolute.kmh.day"}, "Dafür"),
        ("\xff;;=,-", {VIEW_COOKIE: "\x7f..."}, "This"),
    ],
)
async def test_a_refusal_follows_what_the_visitor_chose_then_the_browser(accepted, cookies, first_word):
    async with browser(rules(keys=Keys()), PHONE, LAN_HOST, cookies=cookies) as phone:
        answer = await phone.get("/", headers={"accept-language": accepted.encode("latin-1")})
    assert answer.status_code == HTTPStatus.UNAUTHORIZED
    assert answer.text.startswith(first_word)


@pytest.mark.parametrize("origin", [b"http://strip.example", b"null"])
async def test_a_socket_from_another_site_is_closed(origin):
    sent = []

    async def receive():
        return {"type": "websocket.connect"}

    async def send(message):
        sent.append(message)

    scope = {
        "type": "websocket",
        "path": "/_nicegui_ws/socket.io/",
        "raw_path": b"/_nicegui_ws/socket.io/",
        "query_string": b"",
        "headers": [(b"host", HOME.encode()), (b"origin", origin)],
        "client": LAPTOP,
    }
    await Gate(echo, rules())(scope, receive, send)
    assert sent == [{"type": "websocket.close", "code": 1008}]


async def test_every_answer_forbids_loading_from_elsewhere():
    async with browser(rules()) as one:
        for answer in (await one.get("/"), await one.get("/", headers={"host": "strip.example"})):
            policy = answer.headers["content-security-policy"]
            assert policy.startswith("default-src 'self'")
            assert "frame-ancestors 'none'" in policy
            assert answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("127.0.0.1", True),
        ("127.8.8.8", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("192.168.7.5", False),
        ("strip.example", False),
        ("", False),
    ],
)
def test_loopback_is_this_machine_alone(address, expected):
    assert is_loopback(address) is expected
