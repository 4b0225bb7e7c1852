"""A server for one page on this computer: loopback only, a token in every address, no files, no traces to the client."""

from __future__ import annotations

import hmac
import json
import secrets
import socket
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qsl

from heatcalc.errors import InputError

LOOPBACK = "127.0.0.1"
MOST_ADDRESS = 2_000  # characters; the controls need a tenth of it
MOST_FIELDS = 20
SLOW_CLIENT_S = 20.0  # between two bytes
MOST_READ_S = 40.0  # a whole request, however its bytes drip
MOST_AT_ONCE = 64  # connections


class PageServer(ThreadingHTTPServer):
    """Serves `page(nonce)` as HTML and `answer(fields)` as JSON to whoever knows the token; one answer at a time."""

    daemon_threads = True

    def __init__(self, port: int, page: Callable[[str], str], answer: Callable[[dict[str, str]], dict[str, Any]]):
        """Raises InputError where the port cannot be had; port 0 takes a free one."""
        try:
            super().__init__((LOOPBACK, port), _Request)
        except (OSError, OverflowError) as problem:
            why = getattr(problem, "strerror", None) or "not a port"
            raise InputError("--port", port, f"cannot be used ({why.lower()})", "leave it out for a free one") from None
        self.page, self.answer = page, answer
        self.token = secrets.token_urlsafe(24)
        self.one_at_a_time = threading.Lock()
        self.room = threading.BoundedSemaphore(MOST_AT_ONCE)

    def process_request(self, request: Any, client_address: Any) -> None:
        """A thread a connection; beyond `MOST_AT_ONCE` it is closed at once."""
        if self.room.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Gives its place back at the end."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self.room.release()

    @property
    def address(self) -> str:
        """The only address that is answered."""
        return f"http://{LOOPBACK}:{self.server_port}/{self.token}/"

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A connection that breaks off is not an error here."""


class _Request(BaseHTTPRequestHandler):
    server: PageServer
    protocol_version = "HTTP/1.1"
    server_version, sys_version = "heatcalc", ""
    timeout = SLOW_CLIENT_S

    def handle_one_request(self) -> None:
        """One request; the connection is cut where it is not read to its end in time."""
        self.late = threading.Timer(MOST_READ_S, self._cut)
        self.late.daemon = True
        self.late.start()
        try:
            super().handle_one_request()
        finally:
            self.late.cancel()

    def parse_request(self) -> bool:
        """The head of a request; what follows is our own time."""
        try:
            return super().parse_request()
        finally:
            self.late.cancel()

    def _cut(self) -> None:
        with suppress(OSError):
            self.connection.shutdown(socket.SHUT_RDWR)

    def do_GET(self) -> None:
        refusal = self._refusal()
        if refusal:
            self.send_error(*refusal)
            return
        path, _, query = self.path.partition("?")
        name = path.removeprefix(f"/{self.server.token}/")
        if name == "":
            nonce = secrets.token_urlsafe(16)
            self._send(200, self.server.page(nonce), "text/html", nonce)
        elif name == "answer":
            self._answer(query)
        else:
            self.send_error(404, "nothing here")

    def _refusal(self) -> tuple[int, str] | None:
        """Why a request is not answered: another host's name (a rebound name server), no token, a body, a long address."""
        hosts = {f"{name}:{self.server.server_port}" for name in (LOOPBACK, "localhost")}
        if self.headers.get_all("Host", []) not in [[h] for h in hosts]:
            return 403, "only this computer's own address is answered"
        if not set(self.headers.get_all("Origin", [])) <= {f"http://{h}" for h in hosts} or self._from_elsewhere():
            return 403, "another site's questions are not answered"
        if len(self.path) > MOST_ADDRESS:
            return 414, "the address is too long"
        given = self.path.split("?")[0].split("/")[1:2]
        if not hmac.compare_digest("".join(given).encode(), self.server.token.encode()):
            return 403, "open the address that the terminal shows"
        if self.headers.get("Content-Length", "0") != "0" or self.headers.get("Transfer-Encoding"):
            return 413, "a question carries no body"
        return None

    def _from_elsewhere(self) -> bool:
        """A question that another site's page asks, as browsers tell."""
        asks = self.path.partition("?")[0].endswith("/answer")
        return asks and self.headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin")

    def _answer(self, query: str) -> None:
        try:
            fields = dict(parse_qsl(query, keep_blank_values=True, max_num_fields=MOST_FIELDS))
        except ValueError:
            self.send_error(400, "too many fields")
            return
        try:
            with self.server.one_at_a_time:
                found = self.server.answer(fields)
        except Exception as problem:  # the client must see one line, never a trace
            print(f"heatcalc page: {type(problem).__name__} while answering", file=sys.stderr)
            self._send(500, json.dumps({"problem": "this could not be computed", "control": ""}), "application/json")
            return
        self._send(200, json.dumps(found, ensure_ascii=False, allow_nan=False), "application/json")

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """One plain line; the connection ends."""
        self.close_connection = True
        self._send(code, f"{message or 'refused'}\n", "text/plain")

    def _send(self, code: int, text: str, kind: str, nonce: str = "") -> None:
        raw = text.encode("utf-8", "replace")
        own = f"script-src 'nonce-{nonce}'; style-src 'nonce-{nonce}'; connect-src 'self'; img-src data:; " if nonce else ""
        policy = f"default-src 'none'; {own}base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        headers = {
            "Content-Type": f"{kind}; charset=utf-8",
            "Content-Length": str(len(raw)),
            "Cache-Control": "no-store",
            "Content-Security-Policy": policy,
            "X-Content-Type-Options": "nosniff",
            "Referrer-Policy": "no-referrer",
            "Cross-Origin-Resource-Policy": "same-origin",
        }
        self.send_response(code)
        for name, value in headers.items():
            self.send_header(name, value)
        if self.close_connection:
            self.send_header("Connection", "close")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(raw)

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing of a request is written down: the address holds the token."""
