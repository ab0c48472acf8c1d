"""What a request must bring: the token, JSON, an own page; and what it may not be."""

import pytest

from tests.hospital import PASSPHRASE, Hospital

POSTS = ["/auth/sign-in", "/auth/sign-out", "/auth/enrol", "/auth/key/renewed", "/sync/push"]


class TestToken:
    """No change without the session's own token."""

    @pytest.mark.parametrize("address", POSTS)
    def test_is_needed(self, hospital: Hospital, address: str) -> None:
        """Without it nothing is done."""
        client = hospital.client("ambler")
        client.csrf = ""
        answer = client.post(address, {"name": "ambler", "passphrase": PASSPHRASE, "records": []})
        assert (answer.status_code, answer.json["code"]) == (400, "csrf")

    @pytest.mark.parametrize("address", POSTS)
    def test_of_another_session_does_not_count(self, hospital: Hospital, address: str) -> None:
        """Somebody else's token is worthless here."""
        client, other = hospital.client("ambler"), hospital.client("quill")
        client.csrf = other.csrf
        answer = client.post(address, {"name": "ambler", "passphrase": PASSPHRASE, "records": []})
        assert answer.status_code == 400

    def test_from_before_signing_in_does_not_count(self, hospital: Hospital) -> None:
        """The token changes with the session."""
        client = hospital.client()
        client.sign_in("ambler")
        before = client.csrf
        client.sign_in("ambler")
        client.csrf = before
        assert client.post("/sync/push", {"records": []}).status_code == 400


class TestForm:
    """Only the app's JSON, only from an own page."""

    @pytest.mark.parametrize("address", POSTS)
    @pytest.mark.parametrize(
        "content_type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"]
    )
    def test_what_a_form_could_send_is_refused(
        self, hospital: Hospital, address: str, content_type: str
    ) -> None:
        """A form of another site cannot send application/json."""
        client = hospital.client("ambler")
        answer = client.flask.post(
            address, data="{}", content_type=content_type, headers={"X-CSRFToken": client.csrf}
        )
        assert (answer.status_code, answer.json["code"]) == (415, "request.not_json")

    @pytest.mark.parametrize(
        ("origin", "status"),
        [("cross-site", 403), ("same-site", 403), ("same-origin", 200), ("none", 200)],
    )
    def test_where_it_comes_from(self, hospital: Hospital, origin: str, status: int) -> None:
        """The browser's own word on the origin is believed (W3C Fetch Metadata)."""
        client = hospital.client("ambler")
        answer = client.post("/sync/push", {"records": []}, Sec_Fetch_Site=origin)
        assert answer.status_code == status

    @pytest.mark.parametrize("body", [b"", b"{", b"[]", b"null", b'{"records": 7}', b"[" * 100_000])
    def test_broken_json_is_a_clear_400(self, hospital: Hospital, body: bytes) -> None:
        """Neither nonsense nor great depth does any harm."""
        client = hospital.client("ambler")
        for address in ("/sync/push", "/auth/sign-in"):
            answer = client.flask.post(
                address, data=body, content_type="application/json",
                headers={"X-CSRFToken": client.csrf},
            )  # fmt: skip
            assert (answer.status_code, answer.json["code"]) == (400, "request.bad")

    @pytest.mark.parametrize(
        ("address", "body"),
        [
            ("/sync/push", b'{"records": ["\xff"]}'),
            ("/auth/sign-in", b'{"name": "\\ud800", "passphrase": "x"}'),
            ("/auth/sign-in", b'{"name": "ambler", "passphrase": "\\udfff and so on"}'),
            ("/auth/enrol", b'{"spki": "AA", "label": "\\ud800"}'),
        ],
    )
    def test_text_that_is_none_is_a_clear_400(
        self, hospital: Hospital, address: str, body: bytes
    ) -> None:
        """Bytes that are no UTF-8, and halves of characters, are refused like broken JSON."""
        client = hospital.client("ambler")
        answer = client.flask.post(
            address, data=body, content_type="application/json",
            headers={"X-CSRFToken": client.csrf},
        )  # fmt: skip
        assert (answer.status_code, answer.json["code"]) == (400, "request.bad")

    def test_too_large(self, hospital: Hospital) -> None:
        """A sign-in of two megabytes is turned away unread."""
        client = hospital.client()
        client.csrf = client.get("/auth/token").json["csrf"]
        answer = client.post("/auth/sign-in", {"name": "x" * 2_000_000})
        assert answer.status_code == 413

    def test_a_method_that_is_not_there(self, hospital: Hospital) -> None:
        """TRACE and the like answer 405 with the methods that are allowed."""
        answer = hospital.client().flask.open("/sync/keys", method="TRACE")
        assert answer.status_code == 405
        assert "GET" in answer.headers["Allow"]


class TestStrangers:
    """Whoever is not signed in."""

    @pytest.mark.parametrize("address", ["/sync/pull?site=all", "/sync/keys", "/sync/status"])
    def test_get_nothing(self, hospital: Hospital, address: str) -> None:
        """Not even the catalogue or the keys."""
        answer = hospital.client().get(address)
        assert (answer.status_code, answer.json["code"]) == (401, "sign_in.needed")

    @pytest.mark.parametrize("address", ["/sync/push", "/auth/enrol"])
    def test_give_nothing(self, hospital: Hospital, address: str) -> None:
        """A token alone opens no door."""
        client = hospital.client()
        client.csrf = client.get("/auth/token").json["csrf"]
        assert client.post(address, {"records": []}).status_code == 401
