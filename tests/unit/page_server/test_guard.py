"""The guard of the live page: which requests it lets in. Every request here is a real ASGI request.

Sources: RFC 9110 section 7.2 (Host), RFC 6454 (Origin with port), W3C "Fetch Metadata Request Headers", RFC 6265bis
(SameSite), W3C "Content Security Policy Level 3".
"""

import pytest
from helpers.readers.asgi_browser import PORT, AsgiBrowser

from tradestudy.page_server.safety.guard import LARGEST_BODY, LARGEST_LOG_BODY, Guard
from tradestudy.page_server.safety.keys import Keys

OTHER = "http://evil.example"


@pytest.fixture()
def browser():
    """Return a browser before a guard. The application behind says which body it got."""

    async def app(scope, receive, send):
        body = (await receive())["body"]
        headers = [(b"content-type", b"text/plain"), (b"cache-control", b"max-age=1000")]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": body})

    keys = Keys(PORT)
    made = AsgiBrowser(Guard(app, keys), keys)
    yield made
    made.close()


def test_requests_of_the_page_itself_are_let_in(browser):
    assert browser.get("/").status == 200
    assert browser.get("/", sec_fetch_site="none").status == 200  # typed, or loaded again
    assert browser.post("/look", {"a": 1}).body == b'{"a": 1}'
    assert browser.post("/look", parts=[b'{"a"', b": 2}"], content_type="application/json; charset=utf-8").status == 200


@pytest.mark.parametrize(
    "host", [None, "localhost:47811", "127.0.0.1", "127.0.0.1:47812", "evil.example", "127.0.0.1:47811.evil.example"]
)
def test_other_hosts_are_refused(browser, host):
    # a name that leads to this machine would let another site read the page (DNS rebinding)
    assert browser.get("/", host=host).status == 403
    assert browser.post("/look", host=host).status == 403
    assert browser.get("/start", query=browser.keys.start_address.partition("?")[2], host=host).status == 403
    assert browser.keys.starts(browser.keys.start_address.partition("=")[2])  # and the token was not used up


@pytest.mark.parametrize(
    "changed",
    [
        {"origin": None},
        {"origin": OTHER},
        {"origin": "null"},
        {"origin": "http://127.0.0.1"},
        {"origin": "http://127.0.0.1:47812"},
        {"origin": "https://127.0.0.1:47811"},
        {"origin": "http://127.0.0.1:478110"},
        {"sec_fetch_site": None},
        {"sec_fetch_site": "same-site"},
        {"sec_fetch_site": "cross-site"},
        {"sec_fetch_site": "none"},
        {"x_page_token": None},
        {"x_page_token": ""},
        {"x_page_token": "another"},
        {"x_page_token": "ä\xff"},
        {"cookie": None},
        {"cookie": "tradestudy_47811=another"},
        {"cookie": "tradestudy_47811="},
    ],
    ids=str,
)
def test_what_changes_something_needs_all_of_it(browser, changed):
    answer = browser.post("/save/study", {"a": 1}, **changed)
    assert answer.status == 403
    assert "error" in answer.document


@pytest.mark.parametrize("kind", [None, "text/plain", "application/x-www-form-urlencoded", "multipart/form-data; b=1"])
def test_forms_of_other_pages_are_refused(browser, kind):
    assert browser.post("/look", content_type=kind).status == 415


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_no_other_page_gets_the_page(browser, site):
    assert browser.get("/", sec_fetch_site=site).status == 403
    assert browser.get("/static/page.js", sec_fetch_site=site).status == 403


def test_the_page_needs_the_cookie(browser):
    assert browser.get("/", cookie=None).status == 403
    assert browser.get("/", cookie=f"other=1; {browser.cookie}").status == 200


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"])
def test_other_methods_are_refused(browser, method):
    assert browser.post("/look", method=method).status == 405


def test_the_start_token_works_once_and_gives_a_strict_cookie(browser):
    query = browser.keys.start_address.partition("?")[2]
    wrong = browser.get("/start", query="token=wrong", cookie=None)
    assert wrong.status == 403 and "set-cookie" not in wrong.headers
    first = browser.get("/start", query=query, cookie=None, sec_fetch_site="none")
    assert (first.status, first.headers["location"]) == (303, "/")
    attributes = {part.strip() for part in first.headers["set-cookie"].split(";")[1:]}
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= attributes
    assert browser.get("/", cookie=first.headers["set-cookie"].partition(";")[0]).status == 200
    assert browser.get("/start", query=query, cookie=None).status == 403  # used up
    again = browser.get("/start", query=query)  # by the browser that has the cookie
    assert again.status == 303 and "set-cookie" not in again.headers
    assert browser.post("/start").status == 405


def test_servers_on_two_ports_keep_their_cookies_apart():
    # browsers send a cookie to every port of a host (RFC 6265 section 8.5)
    one, other = Keys(PORT), Keys(PORT + 1)
    assert one.set_cookie.partition("=")[0] != other.set_cookie.partition("=")[0]
    assert not other.has_cookie(one.set_cookie.partition(";")[0])
    assert one.page_token != other.page_token


def test_a_body_that_says_it_is_too_long_is_refused_unread(browser):
    answer = browser.post("/look", parts=[b"x" * 1000] * 10_000, content_length="10000000")
    assert (answer.status, answer.read) == (413, 0)
    assert browser.post("/look", parts=[b"{}"], content_length="-1").status == 413


def test_a_body_in_chunks_is_refused_as_soon_as_it_is_too_long(browser):
    answer = browser.post("/look", parts=[b"x" * 100_000] * 100)
    assert answer.status == 413
    assert LARGEST_BODY < answer.read <= LARGEST_BODY + 100_000
    assert browser.post("/look", parts=[b"x" * LARGEST_BODY]).status == 200


def test_a_log_may_be_longer_but_not_ten_megabytes(browser):
    assert browser.post("/log", parts=[b"x" * 1_000_000] * 8).status == 200
    assert browser.post("/log", parts=[b"x" * 1_000_000] * 10).status == 413
    assert LARGEST_LOG_BODY < 10_000_000


@pytest.mark.parametrize("ask", ["get", "post", "refused"])
def test_every_answer_has_the_headers_of_safety(browser, ask):
    answer = {
        "get": lambda: browser.get("/"),
        "post": lambda: browser.post("/look"),
        "refused": lambda: browser.post("/look", origin=OTHER),
    }[ask]()
    policy = {name: rest for name, _, rest in (part.strip().partition(" ") for part in
              answer.headers["content-security-policy"].split(";"))}  # fmt: skip
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert "unsafe" not in answer.headers["content-security-policy"]
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"
    assert not any(name.startswith("access-control") for name in answer.headers)


def test_sockets_of_other_kinds_are_closed(browser):
    import asyncio

    sent = []

    async def send(message):
        sent.append(message)

    asyncio.run(browser.app({"type": "websocket", "headers": [], "path": "/"}, None, send))
    assert sent == [{"type": "websocket.close", "code": 1008}]
