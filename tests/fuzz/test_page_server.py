"""The live page's server under mutated requests: whole raw requests over loopback, and mutated wishes."""

from __future__ import annotations

import http.client
import random
import socket
import threading
import time
from contextlib import suppress
from urllib.parse import quote, urlencode

import pytest

import heatcalc.page_server as page_server_module
from heatcalc.answers.sale.live import live_case, places_named, wished_house, wishes_of
from heatcalc.commands.page import page_server
from heatcalc.face.live_page import fields_read
from heatcalc.inputs.checked import read_toml
from heatcalc.inputs.house.house_file import house_path
from heatcalc.page_server import MOST_AT_ONCE
from tests.fuzz.commands import arguments_of, strict
from tests.fuzz.mutations import HANG_S, WORDS, Tally, mutated_text, not_finite, tried

STATUS = {100, 200, 400, 403, 404, 413, 414, 431, 501, 505}
PLACE = "Burlington, VT"
HEADERS = [
    "Origin: https://evil.example",
    "Origin: null",
    "Referer: https://evil.example/",
    "Sec-Fetch-Site: cross-site",
    "X-Forwarded-Host: evil.example",
    "Content-Length: 5",
    "Content-Length: -1",
    "Content-Length: 99999999999999999999",
    "Transfer-Encoding: chunked",
    "Host: evil.example",
    "Expect: 100-continue",
    "Upgrade: websocket",
    "Connection: keep-alive",
    "Cookie: " + "x" * 5000,
    "X: " + "y" * 70_000,
    "no colon at all",
    " : ",
    "X-Folded: a\r\n b",
    "Range: bytes=0-",
]
METHODS = [
    "GET",
    "POST",
    "HEAD",
    "PUT",
    "DELETE",
    "OPTIONS",
    "TRACE",
    "CONNECT",
    "PATCH",
    "get",
    "GE\tT",
    "",
    "__init__",
    "GET" * 90,
]
HOSTS = [
    "Host: evil.example",
    "Host: evil.example:{port}",
    "Host:",
    "X: y",
    "Host: 127.0.0.1:{port}\r\nHost: evil.example",
    "Host: localhost:{port}",
    "Host: 127.0.0.1.evil.example:{port}",
    "Host: 127.1:{port}",
    "Host: [::1]:{port}",
    "Host: 127.0.0.1:{port}@evil.example",
    "Host: 127.0.0.1:{port}.",
]
VERSIONS = ["HTTP/1.1", "HTTP/1.0", "HTTP/0.9", "HTTP/2.0", "HTTP/9.9", "HTTP/1.1.1", "HTTP/-1.1", "HTTP/x", "", "http/1.1", "H"]
SEARCHES = [
    "",
    "?",
    "?place=nowhere at all",
    "?place=",
    "?" + "a=1&" * 30,
    "?place=" + "x" * 3000,
    "?place=%00",
    "?place=%ff%fe",
    "?__class__=1",
    "?set_point=nan+F",
    "?place=a&place=b",
    "?=&=&=",
    "?%3Cscript%3E",
]


@pytest.fixture(scope="module")
def server():
    made = page_server(arguments_of("page", "plover-26g", "--place", PLACE, "--set", "site.front_faces=south"))
    threading.Thread(target=made.serve_forever, daemon=True).start()
    yield made
    made.shutdown()
    made.server_close()


def exchange(port: int, raw: bytes) -> bytes:
    """What comes back for these bytes, until the server closes or says nothing more."""
    with socket.create_connection(("127.0.0.1", port), timeout=HANG_S) as link:
        try:
            link.sendall(raw)
            link.shutdown(socket.SHUT_WR)
            parts = []
            while part := link.recv(65536):
                parts.append(part)
        except TimeoutError:
            raise AssertionError(f"no end within {HANG_S} s: {raw[:300]!r}") from None
        except OSError:  # refused before everything was said
            return b""
    return b"".join(parts)


def request(server, rng: random.Random) -> bytes:
    """A request that would be answered, with one to three of its parts changed."""
    token, port = server.token, server.server_port
    parts = {
        "method": "GET",
        "path": f"/{token}/",
        "search": "",
        "version": "HTTP/1.1",
        "host": f"Host: 127.0.0.1:{port}",
        "more": "Connection: close",
        "body": "",
    }
    if rng.random() < 0.5:
        parts |= {"path": f"/{token}/answer", "search": "?place=nowhere+at+all"}
    for _ in range(rng.choice((1, 1, 2, 3))):
        _change(parts, rng, token, port)
    head = f"{parts['method']} {parts['path']}{parts['search']} {parts['version']}\r\n{parts['host']}\r\n{parts['more']}\r\n\r\n"
    return head.encode("latin-1", "replace") + parts["body"].encode("utf-8", "replace")


def _change(parts: dict[str, str], rng: random.Random, token: str, port: int) -> None:
    part = rng.choice(list(parts))
    if part == "method":
        parts[part] = rng.choice(METHODS)
    elif part == "path":
        parts[part] = rng.choice(_paths(token, port, rng))
    elif part == "search":
        mutated = "?" + quote(mutated_text("place=nowhere&below=slab", rng), "=&")
        parts[part] = rng.choice(SEARCHES) if rng.random() < 0.5 else mutated
    elif part == "version":
        parts[part] = rng.choice(VERSIONS)
    elif part == "host":
        parts[part] = rng.choice(HOSTS).format(port=port)
    elif part == "more":
        parts[part] = rng.choice(HEADERS) if rng.random() < 0.7 else mutated_text(rng.choice(HEADERS)[:200], rng)
    else:
        size = rng.choice((1, 100, 70_000))
        parts |= {"body": "x" * size, "more": rng.choice((f"Content-Length: {size}", "Connection: close"))}


def _paths(token: str, port: int, rng: random.Random) -> list[str]:
    return [
        "/",
        "//",
        "*",
        f"/{token[:-1]}/",
        f"/{token}x/",
        f"/{token.lower()}/",
        f"/{token}",
        f"//{token}/",
        "/" + "a/" * 900,
        f"/{token}/../{token}/",
        f"http://127.0.0.1:{port}/{token}/",
        f"/{token}/answer/",
        f"/{token}//",
        f"/{token}/%2e%2e/answer",
        f"/{token}/live_page.js",
        f"/%{ord(token[0]):x}{token[1:]}/",
        quote(rng.choice(WORDS)),
        mutated_text(f"/{token}/answer", rng, 2),
    ]


def test_raw_requests(server, capsys):
    """2,000 raw requests: a plain refusal or an answer, none held up; nothing of the house without token and host."""
    answered = refused = 0
    for seed in range(2000):
        raw = request(server, random.Random(seed))
        tried.one()
        reply = exchange(server.server_port, raw).decode("utf-8", "replace")
        assert "Traceback" not in reply and 'File "' not in reply, (seed, raw[:300])
        head, _, body = reply.partition("\r\n\r\n")
        status = int(head.split(" ")[1]) if head.startswith("HTTP/") else 0
        assert status in STATUS or not head.startswith("HTTP/"), (seed, raw[:300], head[:300])
        answered, refused = answered + (status == 200), refused + (status >= 400)
        if f"/{server.token}/".encode() not in raw or b"evil.example" in raw.split(b"\r\n")[1]:
            assert "Plover" not in reply and status != 200, (seed, raw[:300])
        if status >= 400:
            assert body.count("\n") <= 1 or "HTTP/1.1" in body, (seed, body[:300])
            assert "default-src 'none'" in head and "text/plain" in head, (seed, head)
    assert answered > 130 and refused > 700
    assert "Traceback" not in capsys.readouterr().err
    assert _page(server).status == 200, "the server still serves"


def _page(server):
    link = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=HANG_S)
    link.request("GET", f"/{server.token}/")
    return link.getresponse()


def _status(server, path="", **headers) -> int:
    link = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=HANG_S)
    link.request("GET", f"/{server.token}/{path}", headers=headers)
    return link.getresponse().status


def test_questions_of_another_site_are_refused(server):
    own = f"http://127.0.0.1:{server.server_port}"
    ask = "answer?place=nowhere"
    assert _status(server, ask, Origin=own) == _status(server, ask, **{"Sec-Fetch-Site": "same-origin"}) == 200
    for other in ("https://evil.example", "null", f"https://127.0.0.1:{server.server_port}", f"{own}.evil.example"):
        assert _status(server, ask, Origin=other) == _status(server, Origin=other) == 403
    for site in ("cross-site", "same-site", "?"):
        assert _status(server, ask, **{"Sec-Fetch-Site": site}) == 403


def test_a_request_that_drips_is_cut(server, monkeypatch):
    """A byte now and then would never meet the limit between two bytes: the whole request has a limit of its own."""
    monkeypatch.setattr(page_server_module, "MOST_READ_S", 0.3)
    with socket.create_connection(("127.0.0.1", server.server_port), timeout=HANG_S) as link:
        stop = time.monotonic() + HANG_S
        with pytest.raises(OSError):  # noqa: B017, PT011 - broken pipe or reset, as the system says it
            while time.monotonic() < stop:
                link.sendall(b"G")
                time.sleep(0.05)
    assert _page(server).status == 200


def test_more_connections_than_there_is_room_for_are_closed(server):
    many = [socket.create_connection(("127.0.0.1", server.server_port)) for _ in range(MOST_AT_ONCE + 5)]
    many[-1].settimeout(HANG_S)
    with suppress(ConnectionResetError):
        assert many[-1].recv(1) == b""
    for link in many:
        link.close()
    stop = time.monotonic() + HANG_S
    while time.monotonic() < stop:
        with suppress(OSError, http.client.HTTPException):
            assert _page(server).status == 200
            return
        time.sleep(0.05)
    raise AssertionError("the server serves again once they are gone")


def test_a_request_that_never_ends_and_one_that_says_nothing_hold_nobody_up(server):
    port = server.server_port
    silent = [socket.create_connection(("127.0.0.1", port)) for _ in range(30)]
    half = socket.create_connection(("127.0.0.1", port))
    half.sendall(b"GET /" + b"a" * 500)
    assert _page(server).status == 200
    for link in (*silent, half):
        link.close()


def test_a_line_without_end_is_refused(server):
    assert b"414" in exchange(server.server_port, b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\n\r\n")[:40]
    many = b"".join(b"X-%d: y\r\n" % k for k in range(300))
    assert b"431" in exchange(server.server_port, b"GET / HTTP/1.1\r\n" + many + b"\r\n")[:40]


USUAL = {
    "place": PLACE,
    "package": "Breeze",
    "siding": "black",
    "set_point": "68 F",
    "unit": "G12-C-230",
    "below": "skirted",
    "tightness": "3 ACH50",
    "units": "ip",
}


def wishes(rng: random.Random) -> dict[str, str]:
    """The controls with one to three said otherwise."""
    said = {name: word for name, word in USUAL.items() if name == "place" or rng.random() < 0.4}
    for _ in range(rng.choice((1, 1, 2, 3))):
        name = rng.choice(list(USUAL)) if rng.random() < 0.9 else rng.choice(WORDS)
        said[name] = rng.choice(WORDS) if rng.random() < 0.5 else mutated_text(USUAL.get(name, "x"), rng, 2)
    return said


@pytest.fixture(scope="module")
def case():
    path = house_path("plover-26g")
    return live_case(read_toml(path), path.parent, ("site.front_faces=south",), None)


def test_wishes_become_a_house_or_one_line(case):
    """2,000 sets of wishes up to the house and the place they name."""
    tally = Tally()
    for seed in range(2000):
        with tally.trying(seed):
            words, _ = fields_read(wishes(random.Random(seed)))
            wished = wishes_of(words)
            assert not not_finite(wished_house(case, wished))
            assert not not_finite(places_named(wished.place))
    assert tally.accepted > 200 and tally.refused > 500


def test_answers_over_the_wire_are_finite_or_one_line(server):
    """150 sets of wishes asked of the server: strict JSON, escaped charts, none held up."""
    problems = 0
    for seed in range(150):
        tried.one()
        search = urlencode(wishes(random.Random(f"wire {seed}")), errors="replace")
        link = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=HANG_S)
        link.request("GET", f"/{server.token}/answer?{search}")
        reply = link.getresponse()
        text = reply.read().decode("utf-8")
        assert reply.status in (200, 414), (seed, search, text)
        found = strict(text, f"{seed}: {search}") if reply.status == 200 else {"problem": "too long"}
        assert isinstance(found, dict)
        problems += "problem" in found
        drawn = [word for name, word in found.items() if isinstance(word, str) and word.startswith(("<svg", "<table"))]
        assert "\n" not in str(found.get("problem", "")) and not any("<script" in word for word in drawn), (seed, search)
    assert 60 < problems < 150
