"""Plays the demo's last two months: everybody's steps in order of time, each at its own moment."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from unittest.mock import patch

from demo_fixtures import reference as bodies
from demo_fixtures.devices import Device
from demo_fixtures.people import PEOPLE
from demo_fixtures.story import Crew, steps
from webapp.demo_people import DEMO_PEOPLE
from webapp.flow import clock, desk_key, devices, reference
from webapp.flow.actor import Actor

# How many days ago each camp was held. Upper Glen's tablet has been silent since.
CAMP_DAYS_AGO = {"upper-glen": 6.0, "saltpan": 5.0, "north-quay": 3.5}
ADOPTED_DAYS_AGO = 70.0
# A step takes the person at the device at most this long before it is sent.
SIGNING_MINUTES = 30
MINUTES_EACH = 40
Event = tuple[datetime, Callable[[], None]]


def load(data_dir: Path) -> None:
    """Fill the open database with the demo's records.

    Args:
        data_dir: the installation's folder, where the desk's key lies.
    """
    desk_key.use(data_dir / "desk_key.pem")
    now = clock.utc_now()
    with _moment(now - timedelta(days=ADOPTED_DAYS_AGO)):
        _adopt(_actor("u-rook"))
        phones = _devices()
    for at, act in sorted(_events(now, phones), key=lambda event: event[0]):
        for phone in phones.values():
            phone.now = max(phone.now, at)
        with _moment(at + timedelta(minutes=SIGNING_MINUTES)):
            act()
    for user, hours_ago in (("u-ambler", 1), ("u-verrill", 2), ("u-marsh", 5)):
        with _moment(now - timedelta(hours=hours_ago)):
            devices.heard_from(phones[user].actor, phones[user].kid)


def _adopt(administrator: Actor) -> None:
    reference.adopt(administrator, "catalogue.adopted", bodies.catalogue())
    reference.adopt(administrator, "limits.adopted", bodies.adopted_limits())


def _devices() -> dict[str, Device]:
    """Return a device for each person who measures or decides."""
    labels = {
        "u-ambler": ("optometrist", "Saltpan phone"),
        "u-quill": ("optometrist", "Upper Glen tablet"),
        "u-verrill": ("surgeon", "Dr Verrill’s phone"),
        "u-marsh": ("surgeon", "Dr Marsh’s phone"),
    }
    now = clock.utc_now()
    return {user: Device(_actor(user), *about, now) for user, about in labels.items()}


def _events(now: datetime, phones: dict[str, Device]) -> list[Event]:
    """Return everybody's steps with their moments."""
    events: list[Event] = []
    for place, person in enumerate(PEOPLE):
        camp = phones["u-quill" if person.site == "upper-glen" else "u-ambler"]
        crew = Crew(camp, phones["u-verrill"], phones["u-marsh"], _actor("u-fenn"),
                    now.date().isoformat())  # fmt: skip
        days_ago = person.days_ago or CAMP_DAYS_AGO[person.site]
        began = now - timedelta(days=days_ago, minutes=-MINUTES_EACH * place)
        events += [(began + timedelta(days=days), act) for days, act in steps(person, crew)]
    return events


def _actor(user_id: str) -> Actor:
    one = next(person for person in DEMO_PEOPLE if person.user_id == user_id)
    return Actor(one.user_id, one.sign_in_name, one.name, tuple(one.roles))


@contextmanager
def _moment(at: datetime) -> Iterator[None]:
    """Let the server's clock stand at ``at``, so that the demo has a past."""
    with patch.object(clock, "utc_now", lambda: at):
        yield
