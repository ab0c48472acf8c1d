"""The demo's invented people: every state once at least, each by the rules that hold for all."""

from collections import Counter
from pathlib import Path

import pytest

import demo_fixtures
from demo_fixtures.people import PEOPLE
from tests.hospital import Hospital
from webapp.desk import people_page
from webapp.desk.states import next_step
from webapp.flow import casefile, clock, device_list, folding, order, theatre_list, worklist
from webapp.flow.casefile import PersonFile
from webapp.flow.worklist import Sought

# What each word of the story must have become, by the core's own fold.
BECOMES = {
    "": "measuring", "begun": "measuring", "ready": "ready", "queued": "queued",
    "shallow": "queued", "returned": "returned", "approved": "approved", "backed": "approved",
    "stale": "stale", "conflict": "conflict", "ordered": "ordered",
    "confirmed": "confirmed", "received": "received",
    "listed": "verified", "cancelled": "cancelled", "declined": "declined",
    "implanted": "implanted", "followed": "followed", "surprised": "followed", "second": "queued",
}  # fmt: skip


@pytest.fixture
def demo(hospital: Hospital) -> Hospital:
    """Return the hospital with the demo's people."""
    demo_fixtures.load(hospital.settings.data_dir)
    return hospital


def files(demo: Hospital) -> dict[str, PersonFile]:
    """Return everybody's file, as the desk sees it."""
    fenn = demo.actor("fenn")
    return {one.person: casefile.person_file(fenn, one.person) for one in PEOPLE}


class TestPeople:
    """Who there is."""

    def test_each_eye_is_where_its_story_leads(self, demo: Hospital) -> None:
        """The state of each eye is the one that its story names."""
        found = files(demo)
        for one in PEOPLE:
            for code, (story, _) in (("R", one.right), ("L", one.left)):
                state = found[one.person].fold["eyes"][code]["state"]
                assert (one.name, code, state) == (one.name, code, BECOMES[story])

    def test_every_state_has_somebody(self, demo: Hospital) -> None:
        """Each screen has something true to show."""
        states = Counter(
            eye["state"] for file in files(demo).values() for eye in file.fold["eyes"].values()
        )
        # A visitor weighs the exchange of the surprised eye: no one decided it beforehand.
        assert set(states) == set(worklist.STATES) - {"exchange_considered"}

    def test_the_worklist_carries_the_stop_of_an_operated_eye(self, demo: Hospital) -> None:
        """Whoever looks at the list sees that a vault is very high, and who looks at it (H36)."""
        page = people_page.page(demo.actor("fenn"), Sought(query="Averill"), 1)
        (row,) = page.rows
        assert row.eyes["R"].stop_after == "Vault very high"
        step = next_step({code: cell._asdict() for code, cell in row.eyes.items()})
        assert step.whom == "Surgeon"

    def test_theatre_has_a_lens_of_today(self, demo: Hospital) -> None:
        """One eye is ready on today's list, and its lens has an axis to be drawn."""
        (listed,) = theatre_list.on(demo.actor("wren"), clock.today())
        assert (listed.theatre["ready"], listed.lens["cylinder_cD"] != 0) == (1, True)
        assert listed.code is not None

    def test_every_plan_computes_again_to_the_same(self, demo: Hospital) -> None:
        """What the demo's phones showed is what this server's core says."""
        checks = [check.result for file in files(demo).values() for check in file.checks.values()]
        assert len(checks) > 20
        assert set(checks) == {"agrees"}

    def test_one_eye_has_a_stop_and_one_an_override(self, demo: Hospital) -> None:
        """A stop without an approval, and one that a surgeon answered in writing."""
        found = files(demo)
        shallow = next(one for one in PEOPLE if one.left[0] == "shallow")
        stops = [
            finding["rule"]
            for finding in found[shallow.person].fold["eyes"]["L"]["findings"]
            if finding["level"] == "stop"
        ]
        assert stops == ["D03"]
        answered = [
            payload["body"]["overrides"]
            for file in found.values()
            for payload in file.payloads.values()
            if payload["kind"] == "plan.approval" and payload["body"]["overrides"]
        ]
        assert len(answered) == 1

    def test_a_first_eye_teaches_and_one_stops(self, demo: Hospital) -> None:
        """One second eye's prediction is moved by a good result, one is stopped for a look."""
        found = files(demo)
        fenn = demo.actor("fenn")
        good, far = (
            casefile.plan_now(fenn, one.person, "L")
            for story in ("followed", "surprised")
            for one in PEOPLE
            if one.right[0] == story
        )
        change = good["fellow"]["change"]
        assert change["to_um"] > change["from_um"]
        assert change["sd_to_um"] < change["sd_from_um"]
        assert far["fellow"]["change"] is None
        assert "D31.vault" in [one["code"] for one in far["findings"]]
        assert len(found) == len(PEOPLE)

    def test_nothing_is_signed_after_it_arrived(self, demo: Hospital) -> None:
        """The demo's past is in order: signed, then received, then now."""
        now = clock.instant()
        for file in files(demo).values():
            for record_id, payload in file.payloads.items():
                assert payload["wall"] <= file.received[record_id] <= now

    def test_the_upper_glen_tablet_is_silent(self, demo: Hospital) -> None:
        """One device has not been heard from for days, the others today."""
        hours = {row.label: row.hours_silent for row in device_list.listing(demo.actor("fenn"))}
        assert (hours.pop("Upper Glen tablet") or 0) >= 72
        assert all(value is not None and value < 12 for value in hours.values())


class TestCatalogue:
    """The invented lenses."""

    def test_says_that_it_is_invented_and_what_its_power_means(self, demo: Hospital) -> None:
        """Marked as a demo, and each model states its convention (rule D36)."""
        body = folding.in_force()["catalogue"]["body"]
        assert body["demo"] == 1
        assert all(model["labelled_power"] for model in body["models"])

    def test_the_ordered_lens_is_the_approved_one(self, demo: Hospital) -> None:
        """An order of the demo holds the lens of its approval."""
        fenn = demo.actor("fenn")
        ordered = next(one for one in PEOPLE if one.right[0] == "ordered")
        found = order.order_of_case(fenn, ordered.person, "R")
        assert found is not None
        sheet = order.sheet(fenn, found)
        assert sheet.lens == sheet.approval["body"]["shown"]["lens"]


def test_the_folder_says_that_it_is_invented() -> None:
    """Its README says so in its first lines."""
    text = (Path(demo_fixtures.__file__).parent / "README.md").read_text(encoding="utf-8")
    assert "made up" in text[:400]
