"""The real server's manners behind its proxy: https only, and no header believed twice."""

import pytest

from tests.hospital import PASSPHRASE, Client, Hospital
from webapp.app import create_app
from webapp.store import audit_log

HOST = "eyes.example"
THROUGH_PROXY = {"X-Forwarded-Proto": "https", "X-Forwarded-Host": HOST,
                 "X-Forwarded-For": "192.0.2.7"}  # fmt: skip
REFERER = {"Referer": f"https://{HOST}/app/"}


@pytest.fixture
def client(hospital: Hospital) -> Client:
    """Return a browser behind one proxy of a real server."""
    settings = hospital.settings._replace(
        demo=False, secure_cookies=True, trusted_hops=1, trusted_hosts=(HOST,)
    )
    return Client(create_app(settings).test_client())


def sign_in(client: Client, **headers: str) -> int:
    """Sign in through the proxy and return the status."""
    answer = client.flask.get("/auth/token", base_url=f"https://{HOST}", headers=THROUGH_PROXY)
    sent = {"X-CSRFToken": answer.json["csrf"], **THROUGH_PROXY, **headers}
    body = {"name": "ambler", "passphrase": PASSPHRASE}
    answer = client.flask.post("/auth/sign-in", json=body, base_url=f"https://{HOST}", headers=sent)
    return answer.status_code


class TestCookie:
    """The session cookie of a real server."""

    def test_is_bound_to_this_host_and_to_https(self, client: Client) -> None:
        """``__Host-``, Secure, HttpOnly, SameSite=Strict, whole site, no Domain (RFC 6265bis)."""
        answer = client.flask.get("/auth/token", base_url=f"https://{HOST}", headers=THROUGH_PROXY)
        cookie = answer.headers["Set-Cookie"]
        assert cookie.startswith("__Host-lampside=")
        for part in ("Secure", "HttpOnly", "SameSite=Strict", "Path=/"):
            assert part in cookie.split("; ")
        assert "Domain" not in cookie
        assert answer.headers["Strict-Transport-Security"] == "max-age=63072000; includeSubDomains"


class TestReferer:
    """Over https a change must come from an own page, by the browser's Referer."""

    def test_from_an_own_page(self, client: Client) -> None:
        """The app's own page is the ordinary case."""
        assert sign_in(client, **REFERER) == 200

    @pytest.mark.parametrize(
        "headers", [{}, {"Referer": "https://evil.example/"}, {"Referer": f"http://{HOST}/"}]
    )
    def test_from_nowhere_or_elsewhere(self, client: Client, headers: dict[str, str]) -> None:
        """Without a Referer, or with another site's, nothing is done."""
        assert sign_in(client, **headers) == 400


class TestProxy:
    """Headers that a proxy adds, and what a browser makes up under their names."""

    @pytest.mark.parametrize("forwarded", [HOST, "evil.example", f"evil.example, {HOST}", ""])
    def test_a_forwarded_host_is_never_looked_at(self, client: Client, forwarded: str) -> None:
        """Not to let a request in, not to turn one away, and not in an address that is sent."""
        named = {"X-Forwarded-Proto": "https", "X-Forwarded-Host": forwarded}
        right = client.flask.get("/desk/", base_url=f"https://{HOST}", headers=named)
        assert right.status_code == 302
        assert right.headers["Location"].startswith("/desk/sign-in")
        wrong = client.flask.get("/", base_url="https://evil.example", headers=named)
        assert wrong.status_code == 400

    @pytest.mark.parametrize("host", [
        "evil.example", f"{HOST}.evil.example", f"evil.example/{HOST}", f"{HOST}@evil.example", "",
        "127.0.0.1", f"{HOST}:80@evil.example", f"not{HOST}",
    ])  # fmt: skip
    def test_another_host_is_refused(self, client: Client, host: str) -> None:
        """A name that is not this server's gets 400, on a page that is open to everybody."""
        answer = client.flask.get("/", headers={**THROUGH_PROXY, "Host": host})
        assert answer.status_code == 400

    def test_only_the_last_hop_says_who_asks(self, client: Client) -> None:
        """An address that a browser made up stands before the proxy's, and counts for nothing."""
        answer = sign_in(client, **{**REFERER, "X-Forwarded-For": "10.9.9.9, 192.0.2.7"})
        assert answer == 200
        assert [line.said.address for line in audit_log.newest_lines(1)] == ["192.0.2.7"]
