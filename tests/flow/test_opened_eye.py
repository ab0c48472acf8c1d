"""Who may write at the desk about an eye, and in which of their roles."""

import pytest

from tests.hospital import Hospital
from webapp.flow.actor import RoleAt
from webapp.flow.opened_eye import opened
from webapp.flow.refusal import NotFound, Refused

ACTION, ROLES = "exchange.ask", ("desk", "optometrist", "surgeon")


@pytest.fixture
def person(hospital: Hospital) -> str:
    """Return somebody registered at the Saltpan camp."""
    return hospital.phone().register()


def test_as_it_stands(hospital: Hospital, person: str) -> None:
    """The person's own site, and the newest records."""
    found = opened(hospital.actor("fenn"), person, "R", ACTION, ROLES)
    assert found.subject == (person, "R", "saltpan") and found.role == "desk"
    assert set(found.fold["eyes"]) == {"R", "L"}


def test_in_the_role_that_speaks_first(hospital: Hospital, person: str) -> None:
    """Where somebody holds several at that site; one held elsewhere does not speak."""
    both = (RoleAt("surgeon", "saltpan"), RoleAt("optometrist", "saltpan"), RoleAt("desk", "quern"))
    actor = hospital.actor("fenn")._replace(roles=both)
    assert opened(actor, person, "R", ACTION, ROLES).role == "optometrist"
    assert opened(actor, person, "R", ACTION, ("surgeon", "optometrist")).role == "surgeon"


def test_not_of_another_site(hospital: Hospital, person: str) -> None:
    """They are not told that the person exists."""
    with pytest.raises(NotFound):
        opened(hospital.actor("quill"), person, "R", ACTION, ROLES)
    with pytest.raises(NotFound):
        opened(hospital.actor("fenn"), "0" * 36, "R", ACTION, ROLES)


def test_not_by_who_only_reads_there(hospital: Hospital, person: str) -> None:
    """A role that may write, held at another site, does not help."""
    roles = (RoleAt("optometrist", "saltpan"), RoleAt("desk", "quern"))
    with pytest.raises(Refused) as refused:
        opened(hospital.actor("fenn")._replace(roles=roles), person, "R", "urgent.answer", ROLES)
    assert refused.value.code == "role.missing"
