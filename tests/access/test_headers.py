"""The headers that every answer carries, errors included."""

import re

import pytest

from tests.hospital import Hospital

# As the safety analysis of this project fixes it; MDN and W3C CSP Level 3 describe each directive.
POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; "
    "img-src 'self' blob:; font-src 'self'; connect-src 'self'; worker-src 'self'; "
    "manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; "
    "object-src 'none'; require-trusted-types-for 'script'; "
    "trusted-types lampside-static lit-html; report-to policy"
)

ADDRESSES = [
    "/", "/app/", "/sw.js", "/app.webmanifest", "/assets/none.js", "/core/none.json",
    "/auth/token", "/auth/me", "/auth/key", "/sync/pull", "/sync/person", "/sync/keys",
    "/sync/status", "/desk/", "/desk/sign-in", "/nothing/here", "/desk/nothing",
]  # fmt: skip

ARGUMENTS = (
    ("<string[^>]*>", "0" * 64), ("<any[^>]*>", "R"),
    ("<uuid[^>]*>", "0193a5c0-0001-7000-8000-000000000001"), ("<[^>]*>", "x"),
)  # fmt: skip


def address_of(rule: str) -> str:
    """Return an address of a route, of something that is not there."""
    for form, value in ARGUMENTS:
        rule = re.sub(form, value, rule)
    return rule


class TestEveryAnswer:
    """Whatever the address and the outcome."""

    @pytest.mark.parametrize("address", ADDRESSES)
    def test_carries_the_policy_and_the_rest(self, hospital: Hospital, address: str) -> None:
        """The same policy on pages, files, data, refusals and what is not there."""
        headers = hospital.client().get(address).headers
        assert headers["Content-Security-Policy"] == POLICY
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "same-origin"
        assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
        assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert "camera=(self)" in headers["Permissions-Policy"]
        assert "Access-Control-Allow-Origin" not in headers

    def test_every_route_without_arguments_is_in_the_list(self, hospital: Hospital) -> None:
        """A route that somebody adds must be added above too, or this fails."""
        plain = {
            rule.rule
            for rule in hospital.app.url_map.iter_rules()
            if not rule.arguments and "GET" in (rule.methods or ())
        }
        public = {rule for rule in plain if not rule.startswith("/desk/")}
        assert public - set(ADDRESSES) == set()

    @pytest.mark.parametrize("name", ["fenn", "rook", "birch", "verrill", "wren"])
    def test_every_page_of_the_desk_carries_them_too(self, hospital: Hospital, name: str) -> None:
        """Whichever role opens it, found or not, allowed or not."""
        client = hospital.client(name)
        addresses = [
            address_of(one.rule)
            for one in hospital.app.url_map.iter_rules()
            if "GET" in (one.methods or ()) and one.rule.startswith("/desk/")
        ]
        assert len(addresses) > 30
        missing = [
            address
            for address in addresses
            if client.get(address).headers.get("Content-Security-Policy") != POLICY
        ]
        assert missing == []

    @pytest.mark.parametrize("address", ["/auth/token", "/sync/keys", "/desk/", "/desk/sign-in"])
    def test_nothing_about_people_is_kept_by_the_browser(
        self, hospital: Hospital, address: str
    ) -> None:
        """Data and desk pages are never stored in a cache."""
        assert hospital.client("fenn").get(address).headers["Cache-Control"] == "no-store"

    def test_https_is_demanded_for_two_years_by_the_real_server_only(
        self, hospital: Hospital
    ) -> None:
        """The demo speaks plain http on this machine and must not say otherwise."""
        assert "Strict-Transport-Security" not in hospital.client().get("/").headers
        hospital.app.config["SESSION_COOKIE_SECURE"] = True
        strict = hospital.client().get("/").headers["Strict-Transport-Security"]
        assert strict == "max-age=63072000; includeSubDomains"

    def test_another_host_name_is_refused(self, hospital: Hospital) -> None:
        """A request under a name that is not this server's gets 400."""
        answer = hospital.client().get("/", base_url="http://evil.example/")
        assert answer.status_code == 400
