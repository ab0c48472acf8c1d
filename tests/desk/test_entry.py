"""Coming in and out of the desk, and the theme of its pages."""

import re

import pytest

from tests.desk.conftest import Desk
from tests.hospital import Hospital
from webapp.demo_people import DEMO_PEOPLE, PASSPHRASE

ELSEWHERE = (
    "https://example.org/",
    "//example.org",
    "/\\example.org",
    "/desk/\\example.org",
    "/desk/\r\nX: y",
    "javascript:alert(1)",
    "/app/",
    "",
)


@pytest.fixture
def stranger(hospital: Hospital) -> Desk:
    """Return a browser of somebody who is not signed in."""
    return Desk(hospital.client())


class TestMenu:
    """What the menu of each role leads to."""

    @pytest.mark.parametrize("name", sorted(one.sign_in_name for one in DEMO_PEOPLE))
    def test_no_link_leads_where_its_reader_may_not_go(self, hospital: Hospital, name: str) -> None:
        """Every page that the frame names opens for whom it is named."""
        desk = Desk(hospital.client(name))
        menu = desk.get("/desk/").text.split("<main")[0]
        links = re.findall(r'href="(/desk/[^"]*)"', menu)
        assert "/desk/passphrase" in links
        assert {link: desk.get(link).status_code for link in links} == dict.fromkeys(links, 200)


class TestSignIn:
    """Name and passphrase."""

    def test_each_page_asks_first_and_comes_back(self, stranger: Desk) -> None:
        """A page of the desk sends to the sign-in, which leads back to it."""
        sent = stranger.get("/desk/devices")
        assert sent.status_code == 302
        assert sent.location == "/desk/sign-in?next=/desk/devices"
        stranger.get(sent.location)
        fields = {"name": "fenn", "passphrase": PASSPHRASE, "next": "/desk/devices"}
        assert stranger.post("/desk/sign-in", **fields).location == "/desk/devices"
        assert stranger.get("/desk/devices").status_code == 200

    def test_a_wrong_passphrase_keeps_the_name_only(self, stranger: Desk) -> None:
        """The page says what is wrong, keeps the name and forgets the passphrase."""
        stranger.get("/desk/sign-in")
        answer = stranger.post("/desk/sign-in", name="fenn", passphrase="not this one")
        assert answer.status_code == 422
        assert "The name or the passphrase is not right" in answer.text
        assert 'value="fenn"' in answer.text
        assert "not this one" not in answer.text

    def test_nothing_typed_is_said_field_by_field(self, stranger: Desk) -> None:
        """Each empty field is named, at the top and beside it."""
        stranger.get("/desk/sign-in")
        answer = stranger.post("/desk/sign-in", name="", passphrase="")
        assert answer.status_code == 422
        assert answer.text.count("Type your sign-in name.") == 2
        assert answer.text.count("Type your passphrase.") == 2

    @pytest.mark.parametrize("address", ELSEWHERE)
    def test_it_leads_to_no_other_site(self, stranger: Desk, address: str) -> None:
        """Only pages of the desk are gone back to."""
        stranger.get("/desk/sign-in")
        fields = {"name": "fenn", "passphrase": PASSPHRASE, "next": address}
        assert stranger.post("/desk/sign-in", **fields).location == "/desk/"

    def test_without_the_token_nothing_happens(self, stranger: Desk) -> None:
        """A form that another site made is refused."""
        stranger.get("/desk/sign-in")
        stranger.token = "made elsewhere"
        answer = stranger.post("/desk/sign-in", name="fenn", passphrase=PASSPHRASE)
        assert answer.status_code == 400
        assert stranger.get("/desk/").status_code == 302

    def test_signing_out_ends_the_session(self, desk: Desk) -> None:
        """After signing out the worklist asks again."""
        desk.get("/desk/")
        assert desk.post("/desk/sign-out").location == "/desk/sign-in"
        assert desk.get("/desk/").status_code == 302


class TestTheme:
    """Light paper, or dusk."""

    def test_dusk_is_kept_and_leads_back(self, desk: Desk) -> None:
        """The choice is kept in a cookie and the same page comes back."""
        desk.get("/desk/devices")
        assert desk.post("/desk/theme", theme="dusk", back="/desk/devices").location == (
            "/desk/devices"
        )
        assert 'data-theme="dusk"' in desk.get("/desk/devices").text

    def test_an_unknown_theme_changes_nothing(self, desk: Desk) -> None:
        """Only the two themes of the desk are taken."""
        desk.get("/desk/")
        desk.post("/desk/theme", theme="neon", back="/desk/")
        assert 'data-theme="light"' in desk.get("/desk/").text
