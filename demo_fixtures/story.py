"""The steps that bring an invented eye to its state, each in the name of who would take it.

What is approved is what the calculation core answers at that moment; nothing is written by hand.
"""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from demo_fixtures.devices import Device, instant
from demo_fixtures.eyes import VERTEX_UM, Eye, readings
from demo_fixtures.people import Person
from webapp.core_bundle import core_sha256
from webapp.demo_people import PASSPHRASE
from webapp.flow import box, calculation, clock, folding, order, order_progress, theatre_list
from webapp.flow.actor import Actor
from webapp.records.draft import Subject
from webapp.records.envelope import digest_of
from webapp.store import journal

# A step of one eye: days after the camp's day, and what is done then.
Step = tuple[float, Callable[[], None]]

CAMP, ASKED, DECIDED, ORDERED, AFTERWARDS = 0.0, 0.1, 1.0, 1.5, 2.0
ARRIVED, LENS_TAKES_D, LENS_KEEPS_D = 9.0, 10, 1000
BOX_CHECKED, LISTED = 9.5, 11.0
OPERATED, SEEN, SECOND = 15.0, 50.0, 51.0
BEGUN_READINGS = 6
# Found less predicted: an eye as foretold, and one that missed by far more than its scale.
AS_FORETOLD_UM, FAR_OFF_UM = 70, 760
ACCEPTED = "A quarter dioptre in two years by the old glasses, seen today; the person was told."


class Crew:
    """Who works on an eye: the camp's device, two surgeons' devices and the desk."""

    def __init__(
        self, camp: Device, first: Device, second: Device, desk: Actor, today: str
    ) -> None:  # fmt: skip
        self.camp, self.first, self.second, self.desk = camp, first, second, desk
        self.today = today
        """The day on which the demo is made, whose theatre list it shows."""


def steps(person: Person, crew: Crew) -> list[Step]:
    """Return what happens to a person, with its day."""
    found: list[Step] = [(CAMP, lambda: _register(person, crew.camp))]
    for code, (state, eye) in (("R", person.right), ("L", person.left)):
        found += EyeStory(person, code, eye, crew).steps(state)
    return found


def _register(person: Person, device: Device) -> None:
    subject = Subject(person.person, None, person.site)
    device.sign("person.registered", subject, person.body())
    device.sign("history.answers", subject, person.answers())
    device.send()


class EyeStory:
    """What is done to one eye; the ids that later steps name are kept here."""

    def __init__(self, person: Person, code: str, eye: Eye, crew: Crew) -> None:
        self.subject = Subject(person.person, code, person.site)
        self.code = code
        self.eye = eye
        self.crew = crew
        self.request = ""
        self.approval = ""
        self.order = ""
        self.surgery = ""
        self.shown: dict[str, Any] = {}

    def steps(self, state: str) -> list[Step]:
        """Return the steps that lead to ``state``."""
        measured: Step = (CAMP, self.measure)
        asked = [measured, (ASKED, self.ask)]
        approved = [*asked, (DECIDED, self.approve)]
        ordered = [*approved, (ORDERED, self.place)]
        paths: dict[str, list[Step]] = {
            "": [],
            "begun": [(CAMP, self.begin)],
            "ready": [measured],
            "queued": asked,
            "shallow": asked,
            "returned": [*asked, (DECIDED, self.question)],
            "declined": [*asked, (DECIDED, self.decline)],
            "approved": approved,
            "backed": [*asked, (DECIDED, self.approve_with_backup)],
            "stale": [*approved, (AFTERWARDS, self.measure_again)],
            "conflict": [*approved, (AFTERWARDS, self.approve_otherwise)],
            "ordered": [*ordered, (AFTERWARDS, self.reference)],
            "confirmed": [*ordered, (AFTERWARDS, self.confirm)],
            "received": [*ordered, (AFTERWARDS, self.confirm), (ARRIVED, self.arrive)],
            "listed": [
                *ordered,
                (AFTERWARDS, self.confirm),
                (ARRIVED, self.arrive),
                (BOX_CHECKED, self.check_box),
                (LISTED, self.put_on_list),
            ],
            "cancelled": [*ordered, (AFTERWARDS, self.cancel)],
            "implanted": [*ordered, (OPERATED, self.operate)],
            "followed": [*ordered, (OPERATED, self.operate), (SEEN, self.see_as_foretold)],
            "surprised": [*ordered, (OPERATED, self.operate), (SEEN, self.see_far_off)],
            "second": [measured, (SECOND, self.ask)],
        }
        return paths[state]

    def measure(self) -> None:
        """Enter every reading."""
        self._read(readings(self.eye))

    def begin(self) -> None:
        """Enter the first few readings."""
        self._read(readings(self.eye)[:BEGUN_READINGS])

    def measure_again(self) -> None:
        """Enter one more white-to-white, away from the first two."""
        body = {"diameter_um": self.eye.diameters_um[0] - 180, "device": "calliper 2"}
        self._read([("reading.white_to_white", body)])

    def ask(self) -> None:
        """Send the eye for a plan."""
        shown = self._plan()["shown"]
        body = {"shown": shown, "digest": digest_of(shown)}
        self.request = self._sign(self.crew.camp, "plan.request", body)

    def question(self) -> None:
        """Ask the camp back."""
        text = "Was the cylinder axis read twice? His glasses say 85. Please measure it once more."
        self._sign(self.crew.first, "plan.question", {"request": self.request, "text": text})

    def decline(self) -> None:
        """Say that this eye is not a candidate."""
        text = "Too little short sight for a lens here; glasses or a contact lens serve better."
        self._sign(self.crew.first, "plan.decline", {"request": self.request, "text": text})

    def approve(self) -> None:
        """Approve the recommended lens."""
        self.approval = self._approve(self.crew.first, self._plan())

    def approve_with_backup(self) -> None:
        """Approve the recommended lens, and the next one that the plan offers as its back-up."""
        plan = self._plan()
        self.approval = self._approve(self.crew.first, plan, backup=plan["backups"][1])

    def approve_otherwise(self) -> None:
        """Approve another length, as one who had not heard of the first approval would."""
        plan = self._plan()
        taken_um = plan["recommended"]["length_um"]
        other = next(row for row in plan["lengths"] if row["length_um"] > taken_um)
        lens = {name: other["lenses"][0][name] for name in
                ("model", "sphere_cD", "cylinder_cD", "axis_deg")}  # fmt: skip
        choice = {**lens, "length_um": other["length_um"]}
        self._approve(self.crew.second, self._plan(choice))

    def place(self) -> None:
        """Order the approved lens."""
        person = str(self.subject.person)
        self.order = order.place(self.crew.desk, person, self.code, self.approval, PASSPHRASE)

    def reference(self) -> None:
        """Note the reference that the supplier gave."""
        order.add_reference(self.crew.desk, self.order, f"TI-{self.order[:6].upper()}")

    def confirm(self) -> None:
        """Type what the supplier confirmed; it is what was ordered."""
        today = clock.today()
        expected = date.fromisoformat(today) + timedelta(days=LENS_TAKES_D)
        said = {
            "reference": f"TI-{self.order[:6].upper()}", "for_eye": self.code,
            "lens": self.shown["lens"], "confirmed_on": today,
            "expected_on": expected.isoformat(), "corrects": [], "correction": None,
        }  # fmt: skip
        order_progress.confirm(self.crew.desk, self.order, said, PASSPHRASE)

    def arrive(self) -> None:
        """Note that the lens is here."""
        order_progress.arrive(self.crew.desk, self.order, clock.today())

    def check_box(self) -> None:
        """Hold the box beside the order: the desk reads its label, then a surgeon does."""
        traced = {"lot": "TI-07", "serial": self._serial(), "expiry_date": self._keeps_until()}
        label = {**self.shown["lens"], **traced}
        read = box.Read(None, label, clock.today())
        box.check(self.crew.desk, self.order, read, box.Second("verrill", PASSPHRASE, label))

    def put_on_list(self) -> None:
        """Put the eye on the list of the day on which the demo is made."""
        where = "Theatre 1"
        theatre_list.put(self.crew.desk, [self.order], self.crew.today, where, PASSPHRASE)

    def cancel(self) -> None:
        """Cancel the order."""
        reason = "The person moved to another island and will be operated there."
        order.cancel(self.crew.desk, self.order, reason, PASSPHRASE)

    def operate(self) -> None:
        """Record that the ordered lens was implanted."""
        body = {
            "operated": clock.today(), "lens": self.shown["lens"],
            "serial": self._serial(), "order": self.order,
            "approval": self.approval, "incision_meridian_deg": 180,
            "final_axis_deg": self.shown["lens"]["axis_deg"], "operator": "Dr S. Verrill",
            "event": "none", "note": None,
        }  # fmt: skip
        self.surgery = self._sign(self.crew.first, "surgery.implanted", body)

    def see_as_foretold(self) -> None:
        """Find after five weeks about what was predicted."""
        self._see(AS_FORETOLD_UM)

    def see_far_off(self) -> None:
        """Find after five weeks a vault far higher than predicted."""
        self._see(FAR_OFF_UM)

    def _serial(self) -> str:
        return f"TI-{self.order[-8:].upper()}"

    @staticmethod
    def _keeps_until() -> str:
        """Return the last day of an invented lens that came today."""
        return (date.fromisoformat(clock.today()) + timedelta(days=LENS_KEEPS_D)).isoformat()

    def _see(self, apart_um: int) -> None:
        predicted = self.shown["predicted"]
        found: list[tuple[str, dict[str, Any]]] = [
            ("acuity", {"correction": "uncorrected", "logmar_c": -2}),
            ("refraction", {"sphere_cD": predicted["sphere_cD"], "cylinder_cD": 0,
                            "axis_deg": None, "plane": "spectacle", "vertex_um": VERTEX_UM}),
            ("vault", {"light": "mesopic", "vault_um": predicted["mean_um"] + apart_um,
                       "device": "scanner 2"}),
            ("pressure", {"iop_dmmHg": 150, "device": "tonometer 1"}),
            ("lens_clarity", {"clarity": "clear"}),
        ]  # fmt: skip
        self._read(
            [(f"followup.{kind}", {"implant": self.surgery, **body}) for kind, body in found]
        )

    def _read(self, found: list[tuple[str, dict[str, Any]]]) -> None:
        for kind, body in found:
            self.crew.camp.sign(kind, self.subject, body)
        self.crew.camp.send()

    def _approve(self, surgeon: Device, plan: dict[str, Any], **more: object) -> str:
        shown = self.shown = plan["shown"]
        at = instant(surgeon.now)
        by_level: dict[str, list[str]] = {"stop": [], "caution": [], "note": []}
        for finding in shown["findings"]:
            by_level[finding["level"]].append(finding["code"])
        body = {
            "request": self.request, "shown": shown, "digest": digest_of(shown), "read_to_end": 1,
            "acknowledged": [{"code": code, "at": at} for code in by_level["caution"]],
            "overrides": [{"code": code, "reason": ACCEPTED} for code in by_level["stop"]],
            **more,
        }  # fmt: skip
        return self._sign(surgeon, "plan.approval", body)

    def _sign(self, device: Device, kind: str, body: dict[str, Any]) -> str:
        made = device.sign(kind, self.subject, body)
        device.send()
        return made

    def _plan(self, choice: dict[str, Any] | None = None) -> dict[str, Any]:
        """Return what the core says of this eye now, as a phone would show it."""
        entries = [calculation.as_entry(one) for one in journal.entries_of_person(self._person())]
        return calculation.ask({
            "do": "plan", "entries": entries, "reference": folding.in_force(), "eye": self.code,
            "today": clock.today(), "core": core_sha256(), "choice": choice,
        })  # fmt: skip

    def _person(self) -> str:
        return str(self.subject.person)
