"""A whole invented hospital for the server's tests: a new database, its people, their phones.

Phones sign genuinely: a test can only hand in what a real phone could have made, or a forgery.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.answered import answers
from tests.postgresql import databases
from webapp import initialise
from webapp.app import create_app
from webapp.core import limits
from webapp.core_bundle import core_sha256
from webapp.demo_people import DEMO_PEOPLE, PASSPHRASE, SITES
from webapp.flow import (
    accounts,
    calculation,
    clock,
    devices,
    folding,
    granting,
    joined,
    passphrases,
    receive,
    reference,
)
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.calculation import as_entry
from webapp.flow.people import NewUser
from webapp.flow.receive import Receipt
from webapp.flow.throttle import Throttle
from webapp.records.envelope import digest_of, open_envelope, seal, to_base64url
from webapp.records.signing import DeskKey
from webapp.settings import Settings
from webapp.store import database, journal
from webapp.store.database import writing

WALL = "2026-11-25T04:45:12.120Z"
Envelope = dict[str, str]

CATALOGUE = {
    "title": "Demo lenses",
    "demo": 1,
    "models": [
        {
            "model": "Model A-s",
            "toric": 0,
            "sphere_min_cD": -2000,
            "sphere_max_cD": 600,
            "sphere_step_cD": 50,
            "cylinder_min_cD": 0,
            "cylinder_max_cD": 0,
            "cylinder_step_cD": 0,
            "axis_step_deg": 0,
            "lengths_um": [12000, 12500, 13000, 13500],
            "optic_um": 5800,
            "offset_um": 0,
            "labelled_power": "Test convention: the thin lens in aqueous at the plane of the lens.",
        }
    ],
}


ANSWERS = {
    "stable_12_months": "yes", "contact_lenses": "no", "contact_lens_type": None,
    "contact_lens_days_out": None, "pregnant_or_nursing": "no", "eye_disease": "no",
    "eye_disease_note": None,
}  # fmt: skip

# An invented eye inside every usual range, so that no limit stands in the way of an approval.
READINGS: dict[str, dict[str, Any]] = {
    "reading.refraction": {
        "sphere_cD": -900, "cylinder_cD": 0, "axis_deg": None, "plane": "spectacle",
        "vertex_um": 12000, "method": "manifest",
    },
    "reading.acuity": {"logmar_c": 0, "correction": "best_corrected"},
    "reading.keratometry": {
        "unit": "D", "flat_cD": 4350, "steep_cD": 4375, "flat_radius_um": None,
        "steep_radius_um": None, "steep_meridian_deg": 90, "device": "Keratometer",
    },
    "reading.chamber_depth": {"depth_um": 3300, "surface": "endothelium", "device": "Biometer"},
    "reading.corneal_thickness": {"thickness_um": 540, "device": "Pachymeter"},
    "reading.white_to_white": {"diameter_um": 11700, "device": "Caliper"},
    "reading.pupil": {"diameter_um": 5500, "light": "mesopic"},
    "reading.pressure": {"iop_dmmHg": 150, "device": "Tonometer"},
    "reading.endothelial_count": {"ecd_pmm2": 2800, "device": "Specular microscope"},
    "reading.angle": {"method": "gonioscopy", "grade": 4, "angle_deg": None},
}  # fmt: skip


class Phone:
    """One person's phone: a key of its own and a chain of what it signed."""

    def __init__(self, actor: Actor, role: str, site: str) -> None:
        self.actor = actor
        self.role = role
        self.site = site
        self.key = DeskKey(ec.generate_private_key(ec.SECP256R1()))
        self.seq = 0
        self.prev: str | None = None
        self.kid = devices.enrol(actor, to_base64url(self.key.spki), "test phone", at_once=True)

    def payload(self, kind: str, person: str | None, eye: str | None, body: dict[str, Any],
                **changed: object) -> dict[str, Any]:  # fmt: skip
        """Return the next payload of this phone's chain, with any header field changed."""
        return {
            "v": 1, "kind": kind, "person": person, "eye": eye, "site": self.site,
            "author": self.actor.user_id, "role": self.role, "key": self.kid,
            "seq": self.seq + 1, "prev": self.prev, "wall": WALL, "replaces": None,
            "reason": None, "body": body, **changed,
        }  # fmt: skip

    def sign(self, payload: dict[str, Any]) -> Envelope:
        """Sign a payload and count it as this phone's newest."""
        envelope = seal(payload, self.key)
        self.seq, self.prev = payload["seq"], open_envelope(envelope).id
        return envelope

    def record(self, kind: str, person: str | None, eye: str | None, body: dict[str, Any],
               **changed: object) -> Envelope:  # fmt: skip
        """Sign the next record."""
        return self.sign(self.payload(kind, person, eye, body, **changed))

    def push(self, *envelopes: Envelope) -> list[Receipt]:
        """Hand records in as this phone's person."""
        return receive.push(self.actor, list(envelopes))

    def keep(self, kind: str, person: str | None, eye: str | None, body: dict[str, Any],
             **changed: object) -> str:  # fmt: skip
        """Sign a record, hand it in, and return its id once it is stored."""
        (receipt,) = self.push(self.record(kind, person, eye, body, **changed))
        assert receipt.result == "stored", receipt.reason
        return receipt.id

    def register(self, **changed: object) -> str:
        """Register a new person, parts of the registration changed by name; return their id."""
        # A version 7 UUID begins with the time; that of the fixed clock will do.
        person = f"0193a5c0-0000-7000-8000-{uuid4().hex[:12]}"
        self.keep("person.registered", person, None, person_body(**changed))
        return person

    def measure(self, person: str, eye: str) -> dict[str, str]:
        """Answer the questions once and read every required quantity; return kind -> id."""
        ids = {}
        if not any(e.kind == "history.answers" for e in journal.entries_of_person(person)):
            ids["history.answers"] = self.keep("history.answers", person, None, dict(ANSWERS))
        for kind, body in READINGS.items():
            full = {**body, "taken": WALL, "typed": {}}
            ids[kind] = self.keep(kind, person, eye, full)
        return ids

    def send_for_plan(self, person: str, eye: str) -> str:
        """Send an eye for a plan with what this phone computes, and return the request's id."""
        shown = plan_of(person, eye)["shown"]
        return self.keep("plan.request", person, eye, {"shown": shown, "digest": digest_of(shown)})

    def approval_body(self, person: str, eye: str, request: str) -> dict[str, Any]:
        """Return the body of an approval of the recommended lens, every finding answered."""
        shown = plan_of(person, eye)["shown"]
        return {
            "request": request,
            "shown": shown,
            "digest": digest_of(shown),
            **answers(shown, WALL),
            "read_to_end": 1,
        }

    def approve(self, person: str, eye: str, request: str) -> str:
        """Approve the recommended lens and return the approval's id."""
        return self.keep("plan.approval", person, eye, self.approval_body(person, eye, request))


def plan_of(person: str, eye: str, **more: object) -> dict[str, Any]:
    """Return the plan that a phone holding the server's records would show.

    Args:
        person: the person.
        eye: "R" or "L".
        more: further parts of the request, such as a target.
    """
    return calculation.ask(
        {
            "do": "plan",
            "entries": [as_entry(entry) for entry in joined.entries_of(person)],
            "reference": folding.in_force(),
            "eye": eye,
            "today": clock.today(),
            "core": core_sha256(),
            "choice": None,
            **more,
        }
    )


class Hospital:
    """The running installation, and who works there."""

    def __init__(self, settings: Settings, app: Flask) -> None:
        self.settings = settings
        self.app = app

    def actor(self, sign_in_name: str) -> Actor:
        """Return somebody who works here, as if signed in."""
        one = next(person for person in DEMO_PEOPLE if person.sign_in_name == sign_in_name)
        return Actor(one.user_id, one.sign_in_name, one.name, tuple(one.roles), "127.0.0.1")

    def phone(self, sign_in_name: str = "ambler", site: str = "saltpan") -> Phone:
        """Return a newly enrolled phone."""
        actor = self.actor(sign_in_name)
        return Phone(actor, actor.roles[0].role, site)

    def adopt_reference(self) -> None:
        """Adopt the catalogue and the default limits."""
        body = {"title": "Test limits", "values": limits.defaults()}
        reference.adopt(self.actor("rook"), "catalogue.adopted", CATALOGUE)
        reference.adopt(self.actor("rook"), "limits.adopted", body)

    def client(self, sign_in_name: str = "") -> "Client":
        """Return a browser, signed in if a name is given."""
        client = Client(self.app.test_client())
        if sign_in_name:
            client.sign_in(sign_in_name)
        return client


def set_roles(user_id: str, *roles: RoleAt) -> None:
    """Have somebody hold these roles and no other from this moment on."""
    with writing():
        granting.change(None, user_id, set(roles))


class Client:
    """A browser that carries the CSRF token as the app does."""

    def __init__(self, flask_client: FlaskClient) -> None:
        self.flask = flask_client
        self.csrf = ""

    def get(self, address: str, **more: object) -> TestResponse:
        """Get a page."""
        answer = self.flask.get(address, **more)
        answer.get_data()
        # A file that is sent stays open until its answer is closed.
        answer.close()
        return answer

    def post(self, address: str, fields: object, **headers: str) -> TestResponse:
        """Post JSON with the token."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return self.flask.post(address, json=fields, headers={"X-CSRFToken": self.csrf, **named})

    def sign_in(self, name: str, passphrase: str = PASSPHRASE) -> TestResponse:
        """Fetch a token and sign in."""
        self.csrf = self.get("/auth/token").json["csrf"]
        answer = self.post("/auth/sign-in", {"name": name, "passphrase": passphrase})
        if answer.status_code == 200:
            self.csrf = answer.json["csrf"]
        return answer

    def secret_cookie(self) -> str:
        """Return the session cookie as the browser holds it."""
        cookie = self.flask.get_cookie("lampside")
        assert cookie is not None
        return cookie.value


@pytest.fixture(scope="session")
def quick_hash() -> str:
    """Hash the one passphrase of everybody once: Argon2 is slow on purpose."""
    return passphrases.hash_new(PASSPHRASE)


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory, quick_hash: str) -> Path:
    """Make a hospital once; each test gets a copy of its folder."""
    folder = tmp_path_factory.mktemp("prepared")
    settings = databases.settings_of_new(folder)
    database.bind(settings.database_url)
    with database.connection(), pytest.MonkeyPatch.context() as quick:
        quick.setattr(passphrases, "hash_new", lambda *_words, **_more: quick_hash)
        initialise.prepare(settings, list(SITES.items()), demo_users())
    return folder


@pytest.fixture
def hospital(tmp_path: Path, prepared: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Hospital]:
    """Return a new hospital with the demo's people and no patients."""
    shutil.copytree(prepared, tmp_path, dirs_exist_ok=True)
    settings = databases.settings_of_copy(tmp_path)
    monkeypatch.setattr(accounts, "throttle", Throttle())
    app = create_app(settings)
    with database.connection():
        app.testing = True
        database.connect()
        yield Hospital(settings, app)
    databases.give_back(settings)


def demo_users() -> list[NewUser]:
    """Return the demo's people as new accounts."""
    return [
        NewUser(one.sign_in_name, one.name, PASSPHRASE, one.roles, one.user_id)
        for one in DEMO_PEOPLE
    ]


def person_body(**changed: object) -> dict[str, Any]:
    """Return the body of a registration."""
    return {
        "name": "Orla Fennimore", "village": "Kettle Sound", "sex": "F", "phone": "0555 0100 22",
        "birth_date": None, "birth_year": 1996, "camp_code": "SP-014", "consent_store": "yes",
        "consent_send": "yes", **changed,
    }  # fmt: skip


def width_body(diameter_um: int = 11600) -> dict[str, Any]:
    """Return the body of a white-to-white reading [um]."""
    return {"diameter_um": diameter_um, "device": "Caliper", "taken": WALL, "typed": {}}
