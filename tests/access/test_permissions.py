"""Every route, asked for by every role at the case's own site and at another one.

What to expect is read from ``permissions.json`` alone: a route that is not in it is refused, and
fails here. Each request runs in a transaction that is taken back, so none disturbs the next.
"""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from flask import Blueprint
from werkzeug.test import TestResponse

from tests.desk.conftest import ReadyCase
from tests.desk.fonts import sheet_fonts
from tests.hospital import PASSPHRASE, Client, Hospital, prepared, quick_hash, set_roles, width_body
from tests.ordered import lens_of
from webapp.app import create_app
from webapp.flow import (
    accounts,
    box,
    clock,
    credentials,
    granting,
    joining,
    order,
    order_progress,
    permissions,
    recalling,
)
from webapp.flow.actor import RoleAt
from webapp.flow.throttle import Throttle
from webapp.records.kinds import KINDS
from webapp.settings import Settings
from webapp.store import accounts as store
from webapp.store import database
from webapp.store.projections import joins

__all__ = ["prepared", "quick_hash", "sheet_fonts"]

TABLE = json.loads(permissions.FILE.read_text(encoding="utf-8"))
SITE, OTHER_SITE = "saltpan", "upper-glen"
NOBODY, NO_ROLE = "nobody", "no role"
CAST = [NOBODY, NO_ROLE]
CAST += [f"{role}@{site}" for role in permissions.ROLES for site in (SITE, OTHER_SITE)]


class Stage(NamedTuple):
    """A hospital with one ordered eye at ``SITE``, and a browser for everyone in the cast."""

    hospital: Hospital
    values: dict[str, str]
    """What stands for each argument of a route."""
    browsers: dict[str, Client]


def rules() -> list[str]:
    """Return ``METHOD pattern`` of every route of the app, as the app itself names them."""
    app = create_app(Settings.for_demo(Path("/tmp/lampside-routes")))  # noqa: S108 - nothing is kept
    return sorted(
        f"{method} {rule.rule}"
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    )


@pytest.fixture(scope="module")
def stage(
    tmp_path_factory: pytest.TempPathFactory, prepared: Path, quick_hash: str, sheet_fonts: Path
) -> Iterator[Stage]:
    """Set the stage once."""
    folder = tmp_path_factory.mktemp("stage")
    shutil.copytree(prepared, folder, dirs_exist_ok=True)
    settings = Settings.for_demo(folder)
    app = create_app(settings)
    app.config["FONTS_DIR"] = sheet_fonts
    with database.connection(), pytest.MonkeyPatch.context() as patch:
        patch.setattr(accounts, "throttle", Throttle())
        patch.setattr(database, "disconnect", lambda: None)
        hospital = Hospital(settings, app)
        case = ReadyCase(hospital)
        order_id = order.place(hospital.actor("fenn"), case.person, "R", case.approval, PASSPHRASE)
        case.another()
        other, joined_by = joined_pair(hospital, case)
        values = {
            "other": other, "joining": joined_by, "check_id": _checked(hospital, order_id),
            "person": case.person, "eye": "R", "order_id": order_id, "kid": case.camp.kid,
            "record_id": kept_apart_behind_a_gap(case),
            "aside_id": put_aside(hospital, case, order_id),
            "user_id": "u-quill", "people proposal": _role_proposal(hospital),
            "resets proposal": _reset_proposal(hospital),
            "cores proposal": _recall_proposal(hospital), "name": "none", "route": "x",
        }  # fmt: skip
        browsers = {who: _browser(hospital, who, quick_hash) for who in CAST}
        yield Stage(hospital, values, browsers)


def joined_pair(hospital: Hospital, case: ReadyCase) -> tuple[str, str]:
    """Have two registrations joined at the case's site; return one, and the joining's record."""
    one, other = (case.camp.register(name="Runa Aldersey", birth_year=1979) for _ in "ab")
    case.camp.keep("person.compared", one, None, {"other": other, "answer": "same"})
    joining.join(hospital.actor("fenn"), one, other, "The same card", PASSPHRASE)
    return other, joins.touching(one)[0].record


def put_aside(hospital: Hospital, case: ReadyCase, order_id: str) -> str:
    """Put a box aside in theatre, and return the record."""
    body = {"order": order_id, "code": "(21)SER1", "trace": None, "second_trace": None,
            "why": "another"}  # fmt: skip
    return hospital.phone("wren").keep("box.put_aside", case.person, "R", body)


def kept_apart_behind_a_gap(case: ReadyCase) -> str:
    """Hand in a reading whose predecessor stays on the phone, and return its id."""
    case.camp.record("reading.white_to_white", case.person, "R", width_body())
    later = case.camp.record("reading.white_to_white", case.person, "R", width_body())
    (receipt,) = case.camp.push(later)
    return receipt.id


def _checked(hospital: Hospital, order_id: str) -> str:
    """Have a box that is not the ordered lens held against an order, and return the check's id."""
    fenn = hospital.actor("fenn")
    order_progress.arrive(fenn, order_id, clock.today())
    traced = {"lot": "L", "serial": "S", "expiry_date": "2031-02-28"}
    label = {**lens_of(order_id), "model": "Another", **traced}
    return box.check(fenn, order_id, box.Read(None, label, None), None)


def _role_proposal(hospital: Hospital) -> str:
    """Have a role proposed and return the proposal's id."""
    granting.give(hospital.actor("rook"), "u-quill", RoleAt("surgeon", SITE), PASSPHRASE)
    return granting.pending()[0][0].id


def _recall_proposal(hospital: Hospital) -> str:
    """Have a calculation core's recall proposed and return the proposal's id."""
    return recalling.propose(hospital.actor("rook"), "0" * 64, "For the stage only", PASSPHRASE)


def _reset_proposal(hospital: Hospital) -> str:
    """Have a new passphrase proposed for an optometrist of both sites; return its id."""
    set_roles("u-quill", RoleAt("optometrist", SITE), RoleAt("optometrist", OTHER_SITE))
    credentials.propose(hospital.actor("fenn"), "u-quill", PASSPHRASE)
    return credentials.pending(hospital.actor("fenn"))[0][0].id


def _browser(hospital: Hospital, who: str, quick_hash: str) -> Client:
    """Return a browser in which this member of the cast is signed in."""
    if who == NOBODY:
        client = hospital.client()
        client.csrf = client.get("/auth/token").json["csrf"]
        return client
    name = who.replace(" ", "-")
    role, _, site = who.partition("@")
    with database.writing():
        store.add(f"u-{name.replace('@', '-')}", name, who, quick_hash)
        store.set_roles(f"u-{name.replace('@', '-')}", [(role, site)] if site else [])
    client = hospital.client()
    client.sign_in(name)
    client.csrf = client.get("/auth/token").json["csrf"]
    return client


def address_of(rule: str, values: dict[str, str]) -> str:
    """Return an address of this route; KeyError names an argument that the stage has to learn."""
    pieces = []
    for piece in rule.split("/"):
        before, opened, rest = piece.partition("<")
        name, _, after = rest.rpartition(">")
        name = name.rpartition(":")[2]
        key = f"{rule.split('/')[2]} proposal" if name == "proposal" else name
        pieces.append(before + values[key] + after if opened else piece)
    query = {"/sync/pull": f"?site={SITE}", "/sync/person": f"?person={values.get('person')}"}
    return "/".join(pieces) + query.get(rule, "")


def is_about_a_case(rule: str) -> bool:
    """Say whether a route names something that lies at a site."""
    about = ("person>", "order_id>", "record_id>", "aside_id>", "joining>", "/gaps/", "devices/<")
    return any(name in rule for name in about) or rule in ("/sync/pull", "/sync/person")


def ask(stage: Stage, who: str, method: str, rule: str) -> TestResponse:
    """Send a request that is right in form and empty, and take back whatever it did."""
    client = stage.browsers[who]
    address = address_of(rule, stage.values)
    with database.database.atomic() as transaction:
        if method == "GET":
            answer = client.get(address)
        elif rule.startswith("/desk"):
            answer = client.flask.post(address, data={"csrf_token": client.csrf})
        else:
            answer = client.post(address, {})
        transaction.rollback()
    return answer


def outcome(answer: TestResponse) -> str:
    """Say in a word how a request fared."""
    if answer.status_code == 401 or answer.headers.get("Location", "").startswith("/desk/sign-in"):
        return "sign in"
    return {403: "forbidden", 404: "nothing there"}.get(answer.status_code, "let in")


def expected(who: str, method: str, rule: str) -> str:
    """Say what the table promises, read without the code that the server asks."""
    action = TABLE["routes"].get(f"{method} {rule}")
    assert action is not None, f"{method} {rule} is not in permissions.json"
    role, _, site = who.partition("@")
    if who == NOBODY:
        return "sign in"
    scope = TABLE["actions"][action]["roles"].get(role)
    if scope is None:
        return "forbidden"
    reaches = scope == "everywhere" or site == SITE or not is_about_a_case(rule)
    return "let in" if reaches else "nothing there"


class TestEveryRoute:
    """The whole matrix."""

    @pytest.mark.parametrize("route", rules())
    def test_answers_as_the_table_says(self, stage: Stage, route: str) -> None:
        """Each role at the case's site and at another one is let in or kept out as promised."""
        method, rule = route.split(" ", 1)
        if route in TABLE["public"]:
            assert rule in PUBLIC_ON_PURPOSE, f"{rule} is open to strangers"
            return
        wrong = []
        for who in CAST:
            found = outcome(ask(stage, who, method, rule))
            if found != expected(who, method, rule):
                wrong.append(f"{who}: {found}, but {expected(who, method, rule)} was promised")
        assert wrong == []

    def test_the_table_names_no_route_that_is_gone(self) -> None:
        """An old row would look like a protection."""
        listed = permissions.listed_routes()
        assert listed - set(rules()) == set()
        named = {permissions.action_of(*route.split(" ", 1)) for route in listed}
        assert named <= {permissions.PUBLIC, *permissions.ACTIONS}

    def test_a_route_that_nobody_listed_is_refused(self, stage: Stage) -> None:
        """Also to an administrator, and whatever the method."""
        app = create_app(stage.hospital.settings)
        new = Blueprint("new", __name__, url_prefix="/desk/new")
        new.add_url_rule("", "show", lambda: "open", methods=["GET", "POST"])
        app.register_blueprint(new)
        client = Client(app.test_client())
        client.sign_in("rook")
        assert client.get("/desk/new").status_code == 403
        assert client.post("/desk/new", {}).status_code == 403


# Seen and agreed to by a person: nothing of these shows or changes anything of the hospital's.
PUBLIC_ON_PURPOSE = {
    "/", "/app.webmanifest", "/app/", "/app/<path:route>", "/assets/<name>", "/core/<name>.json",
    "/sw.js", "/reports", "/auth/token", "/auth/key", "/auth/sign-in", "/auth/sign-out",
    "/desk/sign-in", "/desk/sign-out", "/desk/theme", "/desk/new-passphrase",
}  # fmt: skip


class TestTheTable:
    """What no edit of the table may bring about."""

    @pytest.mark.parametrize("role", ["administrator", "auditor"])
    def test_no_clinical_reading_or_writing(self, role: str) -> None:
        """Who gives out rights, or audits, neither reads a case nor signs a record of one."""
        for action in ("case.read", "record.push", "record.pull", "order.write", "device.enrol"):
            assert role not in permissions.ACTIONS[action]

    def test_theatre_holds_records_and_signs_its_own(self) -> None:
        """A tablet in theatre holds its sites' records, sealed; it opens no page of a case."""
        for action in ("record.push", "record.pull", "device.enrol"):
            assert "theatre" in permissions.ACTIONS[action]
        for action in ("case.read", "order.read", "order.write", "box.check", "recall.contact"):
            assert "theatre" not in permissions.ACTIONS[action]
        signs = {name for name, kind in KINDS.items() if "theatre" in kind.roles}
        in_theatre = {"theatre.checked", "theatre.confirmed", "box.put_aside"}
        of_surgery = {"surgery.implanted", "surgery.explanted", "record.void"}
        assert signs == in_theatre | of_surgery | {"key.closed"}

    def test_whoever_may_close_a_key_signs_the_closing(self) -> None:
        """The record of it names a role that its kind knows, whoever asked."""
        assert set(permissions.ACTIONS["device.close"]) == set(KINDS["key.closed"].roles)

    def test_a_record_kind_is_signed_by_a_role_that_may_push_or_that_the_desk_signs_for(
        self,
    ) -> None:
        """The kinds that a phone signs name clinical roles only."""
        pushing = permissions.roles_for("record.push")
        for kind in KINDS.values():
            assert set(kind.roles) <= set(permissions.ROLES)
            if kind.signed_by == "device":
                assert set(kind.roles) <= pushing, kind.name

    def test_approval_belongs_to_the_surgeon(self) -> None:
        """And the order to the base desk, whoever else may read it."""
        assert set(KINDS["plan.approval"].roles) == {"surgeon"}
        assert permissions.roles_for("order.write") == {"desk"}
        assert set(KINDS["order.placed"].roles) == {"desk"}

    def test_scopes_are_known_words(self) -> None:
        """A misspelt scope would open or close everything."""
        for action, roles in permissions.ACTIONS.items():
            assert set(roles) <= set(permissions.ROLES), action
            assert set(roles.values()) <= {"own_sites", "everywhere"}, action
