"""Worklist, person, case, devices and accounts, as a browser without scripts sees them."""

from html import unescape

import pytest

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import PASSPHRASE, WALL, Hospital, person_body
from webapp.desk import people_page
from webapp.flow import passphrases
from webapp.records import fingerprint

HOSTILE = '<script>alert("x")</script>\N{LINE SEPARATOR}{{ 7*7 }}'


class TestWorklist:
    """People by state and by search."""

    def test_counts_and_rows(self, desk: Desk, case: ReadyCase) -> None:
        """An approved eye is counted, and its person's next step is the desk's."""
        page = unescape(desk.get("/desk/?state=approved").text)
        assert "Orla Fennimore" in page
        assert "Place order, right eye." in page
        assert 'aria-current="true"><span class="count">1</span>' in page

    def test_a_state_without_eyes_says_so(self, desk: Desk, case: ReadyCase) -> None:
        """An empty list is a sentence, and lists nobody from another state."""
        page = unescape(desk.get("/desk/?state=ordered").text)
        assert "No eye is at “Ordered” now." in page
        assert "Orla Fennimore" not in page

    def test_search_finds_by_code_and_misses_kindly(self, desk: Desk, case: ReadyCase) -> None:
        """The camp code finds; what finds nobody is said again."""
        assert "Orla Fennimore" in desk.get("/desk/?q=SP-014").text
        page = unescape(desk.get("/desk/?q=nobody").text)
        assert "Nobody found by “nobody”" in page
        assert "Orla Fennimore" not in page

    def test_fifty_people_a_page(self, desk: Desk, case: ReadyCase) -> None:
        """The fifty-first person is on the second page, and nobody is on both."""
        for number in range(people_page.PEOPLE_A_PAGE):
            person = f"0193a5c0-0000-7000-8000-{number:012d}"
            body = person_body(name=f"Row {number:02d}")
            case.camp.keep("person.registered", person, None, body)
        first, second = desk.get("/desk/").text, desk.get("/desk/?page=2").text
        assert (first.count("data-row-link"), second.count("data-row-link")) == (50, 1)
        assert 'rel="next"' in first and 'rel="next"' not in second
        assert 'rel="prev"' in second

    def test_strange_page_numbers_are_the_first(self, desk: Desk, case: ReadyCase) -> None:
        """A page that is no small whole number shows the first."""
        for number in ("0", "-1", "x", "999999999", "1.5"):
            assert "Orla Fennimore" in desk.get(f"/desk/?page={number}").text

    def test_what_people_typed_is_only_text(self, desk: Desk, hospital: Hospital) -> None:
        """A name with markup is shown as it was typed and runs nothing."""
        hospital.adopt_reference()
        camp = hospital.phone("ambler", "saltpan")
        person = "0193a5c0-0000-7000-8000-000000000099"
        hostile = HOSTILE.replace("\N{LINE SEPARATOR}", " ")
        camp.keep("person.registered", person, None, person_body(name=hostile, village=hostile))
        for address in ("/desk/", f"/desk/person/{person}", f"/desk/case/{person}/R"):
            page = desk.get(address).text
            assert '<script>alert("x")' not in page
            assert "&lt;script&gt;" in page
            assert "{{ 7*7 }}" in page


class TestScope:
    """Who sees what."""

    def test_another_site_looks_like_nowhere(self, hospital: Hospital, case: ReadyCase) -> None:
        """Somebody of another camp gets 404 for the person, the case and the lists."""
        other = Desk(hospital.client("quill"))
        for address in (f"/desk/person/{case.person}", case.page):
            assert other.get(address).status_code == 404
        assert "Orla Fennimore" not in other.get("/desk/").text

    def test_an_administrator_sees_no_patient(self, hospital: Hospital, case: ReadyCase) -> None:
        """The administrator has accounts and devices and no clinical page."""
        rook = Desk(hospital.client("rook"))
        assert rook.get(case.page).status_code == 403
        assert "Orla Fennimore" not in rook.get("/desk/").text
        assert rook.get("/desk/people").status_code == 200

    def test_only_an_administrator_sees_accounts(self, desk: Desk) -> None:
        """The desk is refused, in words."""
        answer = desk.get("/desk/people")
        assert answer.status_code == 403
        assert "administrator" in answer.text

    def test_an_unknown_address_is_a_page(self, desk: Desk) -> None:
        """A wrong address gives a titled page with a way back."""
        answer = desk.get("/desk/person/0193a5c0-0000-7000-8000-00000000ffff")
        assert answer.status_code == 404
        assert "<title>Not found" in answer.text
        assert 'href="/desk/"' in answer.text


class TestCase:
    """One eye as the surgeon saw it."""

    def test_readings_say_who_when_unit_and_plane(self, desk: Desk, case: ReadyCase) -> None:
        """Each value stands with its unit, where it belongs, who read it and when."""
        page = unescape(desk.get(case.page).text)
        assert "−9.00 sphere" in page
        assert "manifest, at the glasses, vertex 12.0 mm" in page
        assert "from the endothelium, Biometer" in page
        assert "R. Ambler, <time" in page
        assert "25 Nov 2026 04:45" in page

    def test_what_could_not_be_read_says_why(self, desk: Desk, case: ReadyCase) -> None:
        """A quantity without a value is named with the reason, on the page of that eye."""
        body = {
            "quantity": "reading.endothelial_count", "why": "Cornea too dry <today>",
            "taken": WALL, "typed": {},
        }  # fmt: skip
        case.camp.keep("reading.unread", case.person, "L", body)
        answer = desk.get(f"/desk/case/{case.person}/L")
        assert answer.status_code == 200
        assert "Endothelial" in answer.text
        assert "Can’t be read: Cornea too dry &lt;today&gt;" in answer.text

    def test_the_figure_has_a_row_and_a_sentence_for_each_length(
        self, desk: Desk, case: ReadyCase
    ) -> None:
        """Four lengths in the catalogue are four rows, one of them the approved one."""
        page = unescape(desk.get(case.page).text)
        assert (
            page.count('<div class="lengths-row"') + page.count('<div class="lengths-row chosen"')
            == 4
        )
        assert page.count("This is the approved length.") == 1
        assert page.count("Of 100 such eyes:") == 4

    def test_no_style_and_no_script_in_the_page(self, desk: Desk, case: ReadyCase) -> None:
        """The content security policy needs no exception."""
        for address in ("/desk/", case.page, f"/desk/person/{case.person}", "/desk/devices"):
            page = desk.get(address).text
            assert " style=" not in page and "<style" not in page
            assert " onclick=" not in page and "javascript:" not in page
            assert page.count("<script") == page.count('<script type="module" src="')

    def test_both_eyes_lie_on_their_own_sides(self, desk: Desk, case: ReadyCase) -> None:
        """In each row of both eyes the right eye comes first, and says that it is the right."""
        page = desk.get(f"/desk/person/{case.person}").text
        row = page[page.index('aria-label="Refraction"') :]
        right, left = row.index("right eye: "), row.index("left eye: ")
        assert right < row.index("−9.00 sphere") < left < row.index("not measured")


class TestDevices:
    """Who has not been heard from."""

    def test_a_silent_device_is_named_on_list_and_worklist(
        self, desk: Desk, case: ReadyCase
    ) -> None:
        """A device that has sent just now is not silent; one never heard from is."""
        assert "never heard from" not in desk.get("/desk/").text
        assert "0 min ago" in desk.get("/desk/devices").text


class TestAccounts:
    """The administrator's page."""

    NEW = {  # noqa: RUF012 - read only
        "display_name": "Dr N. Lowe", "sign_in_name": "lowe", "passphrase": "fifteen letters or so",
        "role": "optometrist", "site": "saltpan", "own_passphrase": PASSPHRASE,
    }  # fmt: skip

    def test_adds_a_person_who_can_sign_in(self, hospital: Hospital) -> None:
        """A new account has its first role at once."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        assert rook.post("/desk/people", **self.NEW).status_code == 302
        page = rook.get("/desk/people").text
        assert "Dr N. Lowe" in page and "Optometrist, Saltpan camp" in page
        lowe = hospital.client()
        assert lowe.sign_in("lowe", self.NEW["passphrase"]).status_code == 200

    @pytest.mark.parametrize("length", [passphrases.SHORTEST, passphrases.LONGEST])
    def test_any_passphrase_that_is_taken_signs_in_at_the_desk(
        self, hospital: Hospital, length: int
    ) -> None:
        """The shortest and the longest are one rule for the account and for the door."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        words = " ".join(fingerprint.WORDS)[:length]
        assert rook.post("/desk/people", **{**self.NEW, "passphrase": words}).status_code == 302
        lowe = Desk(hospital.client())
        lowe.get("/desk/sign-in")
        answer = lowe.post("/desk/sign-in", name="lowe", passphrase=words)
        assert answer.status_code == 302, answer.text

    def test_says_what_is_wrong_and_keeps_the_rest(self, hospital: Hospital) -> None:
        """A name that is taken and a short passphrase are said at their fields."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        short = rook.post("/desk/people", **{**self.NEW, "passphrase": "short"})
        assert short.status_code == 422
        assert "at least 12 are needed" in short.text and 'value="Dr N. Lowe"' in short.text
        taken = rook.post("/desk/people", **{**self.NEW, "sign_in_name": "fenn"})
        assert taken.status_code == 422
        assert 'id="sign_in_name-error"' in taken.text

    def test_roles_come_and_go(self, hospital: Hospital) -> None:
        """A role is given and taken away, and acts at once."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        role = {"role": "desk", "site": "upper-glen", "passphrase": PASSPHRASE}
        rook.post("/desk/people/u-quill/roles", **role)
        assert "Base desk, Upper Glen camp" in row_of(rook, "T. Quill")
        rook.post("/desk/people/u-quill/roles/remove", **role)
        assert "Base desk, Upper Glen camp" not in row_of(rook, "T. Quill")

    def test_stopping_ends_the_sessions(self, hospital: Hospital, desk: Desk) -> None:
        """A stopped account is out on its next request."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        rook.post("/desk/people/u-fenn/active", active="0")
        assert desk.get("/desk/").status_code == 302


def row_of(desk: Desk, name: str) -> str:
    """Return the roles in the accounts row of one person."""
    page = desk.get("/desk/people").text
    start = page.index(f'<th scope="row">{name}')
    return page[start : page.index("Add a role", start)]
