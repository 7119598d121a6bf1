"""Hands at the desk that press buttons over HTTP until the server dies under them."""

import hashlib
import http.client
import io
import json
import random
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from typing import Protocol
from urllib.parse import urlencode

from PIL import Image

PATIENCE_SECONDS = 60
TYPED = {"Content-Type": "application/x-www-form-urlencoded"}
TAIL_BYTES = 700_000
# Every way in which a dying server shows to the one who asks.
DIED = (OSError, http.client.HTTPException)


class Browser:
    """One connection with its cookies."""

    def __init__(self, port: int, cookies: dict[str, str] | None = None) -> None:
        self.cookies = dict(cookies or {})
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_SECONDS)

    def ask(
        self, method: str, path: str, body: bytes = b"", headers: dict[str, str] | None = None
    ) -> tuple[int, str, bytes]:
        """One request; the status, the Location and the body of its answer. Raises one of DIED."""
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        sent = {"Cookie": cookies, "X-CSRFToken": self.cookies.get("csrftoken", "")} | (headers or {})
        self._connection.request(method, path, body, sent)
        answer = self._connection.getresponse()
        text = answer.read()
        for line in answer.headers.get_all("Set-Cookie", []):
            found = SimpleCookie(line)
            self.cookies |= {name: found[name].value for name in found if name != "messages"}
        return answer.status, answer.headers.get("Location", ""), text

    def log_in(self, username: str, password: str) -> dict[str, str]:
        """Log in by the form; the cookies that came of it."""
        self.ask("GET", "/desk/log-in/")
        typed = urlencode({"username": username, "password": password}).encode()
        status, _, _ = self.ask("POST", "/desk/log-in/", typed, TYPED)
        assert status == 302, status
        return self.cookies

    def close(self) -> None:
        """Hang up."""
        self._connection.close()


class Press(Protocol):
    """Something to press. `mark` finds it in the books again, `what` is what must stand there."""

    @property
    def mark(self) -> str: ...
    @property
    def what(self) -> str: ...
    def by(self, browser: Browser) -> str:
        """Press it; nothing when the answer said that it is saved, else what was answered."""


@dataclass(frozen=True)
class Payment:
    """One press of the payment's form; `what` is the amount."""

    sale: str
    mark: str
    what: str

    @classmethod
    def drawn(cls, sale: str, chance: random.Random) -> "Payment":
        """A small amount, with the token of its press."""
        return cls(sale, f"{chance.getrandbits(128):032x}", f"{chance.randint(1, 999) / 100:.2f}")

    def by(self, browser: Browser) -> str:
        """Press it; a redirect to the sale says that it is recorded."""
        page = f"/desk/sales/{self.sale}/"
        typed = urlencode({"amount": self.what, "method": "cash", "note": "", "entry": self.mark})
        status, location, text = browser.ask("POST", f"{page}payment/", typed.encode(), TYPED)
        return "" if (status, location) == (302, page) else f"{status} {location} {text[:500]!r}"


@dataclass(frozen=True)
class Upload:
    """One photograph to send; `mark` is its hash, `what` its name."""

    stock: int
    what: str
    content: bytes

    @classmethod
    def drawn(cls, stock: int, chance: random.Random) -> "Upload":
        """A small picture with a long tail, as phones add: long on the wire, soon prepared."""
        out = io.BytesIO()
        Image.new("RGB", (240, 200), (chance.randrange(256), 120, 90)).save(out, "JPEG")
        return cls(
            stock, f"plate-{chance.getrandbits(48):012x}.jpg", out.getvalue() + chance.randbytes(TAIL_BYTES)
        )

    @property
    def mark(self) -> str:
        """The hash its original is kept under."""
        return hashlib.sha256(self.content).hexdigest()

    def by(self, browser: Browser) -> str:
        """Send it; it is saved when the answer says that it is kept, or that it was here before."""
        edge = uuid.uuid4().hex
        head = f'--{edge}\r\nContent-Disposition: form-data; name="files"; filename="{self.what}"\r\n'
        body = (
            f"{head}Content-Type: image/jpeg\r\n\r\n".encode() + self.content + f"\r\n--{edge}--\r\n".encode()
        )
        headers = {"Content-Type": f"multipart/form-data; boundary={edge}", "Accept": "application/json"}
        status, _, text = browser.ask("POST", f"/desk/stock/{self.stock}/pictures/send/", body, headers)
        if status != 200:
            return f"{status} {text[:500]!r}"
        said = json.loads(text)["files"][0]
        return "" if said["kept"] or "is here already" in said["says"] else str(said["says"])


@dataclass
class Hand:
    """Presses one after another. What was not answered is pressed again first, once the server is back."""

    draw: Callable[[], Press]
    saved: dict[str, str] = field(default_factory=dict)
    unanswered: Press | None = None
    broken: int = 0
    wrong: list[str] = field(default_factory=list)

    def press_on(self, browser: Browser) -> None:
        """Press until the server dies."""
        try:
            while not self.wrong:
                self.press_once(browser)
        except DIED:
            self.broken += 1
        finally:
            browser.close()

    def press_once(self, browser: Browser) -> None:
        """Press what was left unanswered, or else something new. Raises one of DIED."""
        self.unanswered = self.unanswered or self.draw()
        if said := self.unanswered.by(browser):
            self.wrong.append(said)
            return
        self.saved[self.unanswered.mark] = self.unanswered.what
        self.unanswered = None

    def press_twice(self, browser: Browser) -> None:
        """As an impatient person does: what was left unanswered (or something new), two times over."""
        press = self.unanswered or self.draw()
        for _ in range(2):
            self.unanswered = press
            self.press_once(browser)


def wait_for_answer(port: int) -> None:
    """Wait until the site answers."""
    end = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < end:
        browser = Browser(port)
        try:
            browser.ask("GET", "/desk/log-in/")
        except DIED:
            time.sleep(0.05)
        else:
            return
        finally:
            browser.close()
    raise AssertionError(f"The site did not answer within {PATIENCE_SECONDS} s.")
