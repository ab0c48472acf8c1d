"""The working of a plan at the desk, and what would make the plan surer."""

import pytest

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import Hospital
from webapp.desk.formulas import pieces


@pytest.fixture
def ready(hospital: Hospital) -> ReadyCase:
    """A measured, sent and approved right eye."""
    return ReadyCase(hospital)


@pytest.fixture
def desk(hospital: Hospital, ready: ReadyCase) -> Desk:
    """A signed-in desk person's browser."""
    return Desk(hospital.client("fenn"))


class TestWorkingPage:
    """Read or printed, without any script."""

    def test_leads_from_the_case(self, desk: Desk, ready: ReadyCase) -> None:
        """The case links to it, and it back to the case."""
        assert f'href="{ready.page}/working"' in desk.get(ready.page).text
        assert f'href="{ready.page}"' in desk.get(f"{ready.page}/working").text

    def test_shows_every_step_of_the_approved_lens(self, desk: Desk, ready: ReadyCase) -> None:
        """Twelve numbered steps, formulas with letters below the line and as they are said."""
        page = desk.get(f"{ready.page}/working").text
        assert page.count('<span class="number">') == 12
        assert "How the approved lens follows" in page
        assert "F<sub>c</sub> = F<sub>s</sub> (I" in page
        assert "F c equals F s times, I minus V F s, inverse." in page

    def test_an_eye_without_a_plan_says_so(self, desk: Desk, ready: ReadyCase) -> None:
        """The left eye was never measured."""
        page = desk.get(ready.page[:-1] + "L/working").text
        assert "There is no plan yet. Missing: " in page
        assert '<span class="number">' not in page

    def test_is_for_those_who_may_read_the_site(self, hospital: Hospital, ready: ReadyCase) -> None:
        """An optometrist of another camp does not find it; nobody reads it without signing in."""
        assert hospital.client("quill").get(f"{ready.page}/working").status_code == 404


class TestSurer:
    """What to measure next, at the desk."""

    def test_the_case_says_what_would_help(self, desk: Desk, ready: ReadyCase) -> None:
        """A sulcus scan, with the chance now and after it."""
        page = desk.get(ready.page).text
        assert "What would make it surer" in page
        assert "Sulcus scan: " in page
        assert " in 100 after it. " in page


def test_letters_below_the_line() -> None:
    """F_c is F with a small c; what has no mark is one piece."""
    assert pieces("F_c = K") == [("F", False), ("c", True), (" = K", False)]
    assert pieces("J0, J45") == [("J0, J45", False)]
