"""The administrator's page: who may sign in, with which roles at which sites."""

from collections.abc import Callable

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.forms.people import NewUserForm, RoleForm
from webapp.desk.forms.plain import ConfirmForm, NoFieldsForm
from webapp.flow import granting, people
from webapp.flow.actor import RoleAt
from webapp.flow.people import NewUser
from webapp.flow.permissions import ROLES
from webapp.flow.refusal import Refused

# A form's field for each name that a refusal may point at.
FIELDS = {
    "sign_in_name": "sign_in_name", "name": "display_name", "passphrase": "passphrase",
    "own_passphrase": "own_passphrase",
}  # fmt: skip

bp = Blueprint("accounts", __name__, url_prefix="/desk/people")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """List the accounts and the form for a new one."""
    return _page()


@bp.post("")
def add() -> ResponseReturnValue:
    """Make an account with its first role, or show the form again."""
    form, role = NewUserForm(), _role_form()
    if not (form.validate_on_submit() and role.validate()):
        return _page(form, role, status=422)
    try:
        new = NewUser(
            form.sign_in_name.data, form.display_name.data, form.passphrase.data,
            [RoleAt(role.role.data, role.site.data)],
        )  # fmt: skip
        people.add(gate.current_actor(), new, form.own_passphrase.data)
    except Refused as refusal:
        if refusal.field not in FIELDS:
            raise
        form[FIELDS[refusal.field]].errors = [refusal.message]
        return _page(form, role, status=422)
    return redirect(url_for(".show"))


@bp.post("/<user_id>/roles")
def add_role(user_id: str) -> ResponseReturnValue:
    """Give one more role at one site; one that takes two people waits for the second."""
    role, passphrase = _role_form(), ConfirmForm()
    if not (role.validate_on_submit() and passphrase.validate()):
        return _page(passphrase=passphrase, status=422)
    new = RoleAt(role.role.data, role.site.data)
    return _confirmed(
        passphrase,
        lambda: granting.give(gate.current_actor(), user_id, new, passphrase.passphrase.data),
    )


@bp.post("/<user_id>/roles/remove")
def remove_role(user_id: str) -> ResponseReturnValue:
    """Take one role at one site away; it acts at once."""
    role = _role_form()
    if not role.validate_on_submit():
        return _page(status=422)
    granting.take(gate.current_actor(), user_id, RoleAt(role.role.data, role.site.data))
    return redirect(url_for(".show"))


@bp.post("/proposals/<string(length=16):proposal>/confirm")
def confirm_role(proposal: str) -> ResponseReturnValue:
    """Confirm a role that another administrator proposed; it is held from now on."""
    form = ConfirmForm()
    if not form.validate_on_submit():
        return _page(passphrase=form, status=422)
    return _confirmed(
        form, lambda: granting.confirm(gate.current_actor(), proposal, form.passphrase.data)
    )


@bp.post("/proposals/<string(length=16):proposal>/withdraw")
def withdraw_role(proposal: str) -> ResponseReturnValue:
    """Take a proposal back, or refuse it."""
    if NoFieldsForm().validate_on_submit():
        granting.withdraw(gate.current_actor(), proposal)
    return redirect(url_for(".show"))


@bp.post("/<user_id>/sign-out")
def sign_out_everywhere(user_id: str) -> ResponseReturnValue:
    """End every session of a person."""
    if NoFieldsForm().validate_on_submit():
        people.end_sessions(gate.current_actor(), user_id)
    return redirect(url_for(".show"))


@bp.post("/<user_id>/active")
def set_active(user_id: str) -> ResponseReturnValue:
    """Stop an account, which ends its sessions, or start it again."""
    if NoFieldsForm().validate_on_submit():
        people.set_active(gate.current_actor(), user_id, request.form.get("active") == "1")
    return redirect(url_for(".show"))


def _confirmed(form: ConfirmForm, deed: Callable[[], object]) -> ResponseReturnValue:
    """Do what the passphrase was given for, or show the page again with what was wrong."""
    try:
        deed()
    except Refused as refusal:
        if refusal.field != "passphrase":
            raise
        form.passphrase.errors = [refusal.message]
        return _page(passphrase=form, status=422)
    return redirect(url_for(".show"))


def _role_form(blank: bool = False) -> RoleForm:
    """Return a form that knows the roles and the sites."""
    form = RoleForm(formdata=None) if blank else RoleForm()
    form.role.choices = list(ROLES.items())
    form.site.choices = people.sites()
    return form


def _page(
    form: NewUserForm | None = None,
    role: RoleForm | None = None,
    passphrase: ConfirmForm | None = None,
    status: int = 200,
) -> ResponseReturnValue:
    """Return the page with every account; a form that is not given is shown empty."""
    rows = people.listing(gate.current_actor())
    page = render_template(
        "desk/accounts.html",
        rows=rows,
        form=form or NewUserForm(formdata=None),
        confirm_form=passphrase or ConfirmForm(formdata=None),
        pending=granting.pending(),
        names={row.user_id: row.name for row in rows},
        me=gate.current_actor().user_id,
        lone=granting.administrators() < granting.ENOUGH,
        gives_second=not granting.takes_two("administrator"),
        role_form=role or _role_form(blank=True),
        roles=ROLES,
        may_write=gate.current_actor().may("account.write"),
        sites=dict(people.sites()),
    )
    return page, status
