"""A browser as plain as can be: one connection kept open, its cookies, and how long each answer took."""

import http.client
import re
import time
import uuid
from dataclasses import dataclass, field
from urllib.parse import urlencode


@dataclass
class PlainClient:
    """Posts forms to a local server over one connection."""

    port: int
    cookies: dict[str, str] = field(default_factory=dict)
    tag: str = ""  # of the page that was answered last

    def __post_init__(self) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)

    def ask(
        self, method: str, path: str, form: dict[str, str] | None = None, *, seen: str = ""
    ) -> tuple[int, str, float]:
        """Status, text and seconds of one answer; `seen` is the tag of the page as it is known."""
        begun = time.perf_counter()
        self.send(path, form, method=method, seen=seen)
        response = self.connection.getresponse()
        text = response.read().decode()
        self.tag = response.getheader("ETag") or ""
        seconds = time.perf_counter() - begun
        for name, value in response.getheaders():
            if name.lower() == "set-cookie":
                cookie, _, kept = value.partition(";")[0].partition("=")
                self.cookies[cookie] = kept
        return response.status, text, seconds

    def send(self, path: str, form: dict[str, str] | None, *, method: str = "POST", seen: str = "") -> None:
        """Send a request and don't wait for its answer."""
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if seen:
            headers["If-None-Match"] = seen
        if form is not None:
            headers |= {
                "Content-Type": "application/x-www-form-urlencoded",
                "X-CSRFToken": self.cookies.get("csrftoken", ""),
                "HX-Request": "true",
                "Referer": f"http://127.0.0.1:{self.port}/",
            }
        self.connection.request(method, path, urlencode(form) if form is not None else None, headers)

    def sign_in(self, path: str, name: str, password: str) -> None:
        """Sign in by the form at `path`."""
        _, page, _ = self.ask("GET", path)
        found = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
        if found is None:
            raise RuntimeError("the sign-in page has no form")
        form = {"csrfmiddlewaretoken": found[1], "name": name, "password": password}
        status, text, _ = self.ask("POST", path, form)
        if status not in (200, 302, 303) or "sessionid" not in self.cookies:
            raise RuntimeError(f"sign-in answered {status}: {text[:200]}")


def new_token() -> str:
    return str(uuid.uuid4())
