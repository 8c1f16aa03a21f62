"""The secrets of one server: a token for its first request, a cookie, and a token that its page sends along."""

from __future__ import annotations

import secrets
from hmac import compare_digest

HOST = "127.0.0.1"  # the only address that the server is bound to
_BYTES = 32  # random bytes of each secret


class Keys:
    """The secrets of one server on one port. They are made anew each time it starts.

    The name of the cookie holds the port, since browsers send a cookie to every port of a host.
    """

    def __init__(self, port: int):
        self.port = port
        self.page_token = secrets.token_urlsafe(_BYTES)
        self._cookie = secrets.token_urlsafe(_BYTES)
        self._start: str | None = secrets.token_urlsafe(_BYTES)
        self._address = f"http://{HOST}:{port}/start?token={self._start}"

    @property
    def start_address(self) -> str:
        """The address that opens the page once."""
        return self._address

    @property
    def host(self) -> str:
        """The Host header of every rightful request."""
        return f"{HOST}:{self.port}"

    @property
    def origin(self) -> str:
        """The Origin header of every rightful request that changes something."""
        return f"http://{self.host}"

    @property
    def set_cookie(self) -> str:
        """The header that gives a browser the cookie."""
        return f"{self._cookie_name}={self._cookie}; Path=/; HttpOnly; SameSite=Strict"

    @property
    def _cookie_name(self) -> str:
        return f"tradestudy_{self.port}"

    def starts(self, token: str) -> bool:
        """Return whether a token is that of the first request. From then on it is no longer valid."""
        if self._start is None or not _same(token, self._start):
            return False
        self._start = None
        return True

    def has_cookie(self, header: str) -> bool:
        """Return whether a Cookie header holds the cookie of this server."""
        pairs = (pair.strip().partition("=") for pair in header.split(";"))
        return any(name == self._cookie_name and _same(value, self._cookie) for name, _, value in pairs)

    def has_page_token(self, header: str) -> bool:
        """Return whether a header holds the token of this server's page."""
        return _same(header, self.page_token)


def _same(one: str, other: str) -> bool:
    """Return whether two texts are equal, in a time that does not tell where they differ."""
    return compare_digest(one.encode("utf-8", "surrogatepass"), other.encode())
