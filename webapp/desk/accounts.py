"""The administrator's page: who may sign in, with which roles at which sites."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.forms import NewUserForm, NoFieldsForm, RoleForm
from webapp.flow import people
from webapp.flow.actor import RoleAt
from webapp.flow.permissions import ROLES
from webapp.flow.refusal import Refused

# A form's field for each name that a refusal may point at.
FIELDS = {"sign_in_name": "sign_in_name", "name": "display_name", "passphrase": "passphrase"}

bp = Blueprint("accounts", __name__, url_prefix="/desk/people")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """List the accounts and the form for a new one."""
    return _page(NewUserForm(formdata=None))


@bp.post("")
def add() -> ResponseReturnValue:
    """Make an account with its first role, or show the form again."""
    form, role = NewUserForm(), _role_form()
    if not (form.validate_on_submit() and role.validate()):
        return _page(form, role, status=422)
    try:
        people.add(
            gate.current_actor(),
            form.sign_in_name.data,
            form.display_name.data,
            form.passphrase.data,
            [RoleAt(role.role.data, role.site.data)],
        )
    except Refused as refusal:
        if refusal.field not in FIELDS:
            raise
        form[FIELDS[refusal.field]].errors = [refusal.message]
        return _page(form, role, status=422)
    return redirect(url_for(".show"))


@bp.post("/<user_id>/roles")
def add_role(user_id: str) -> ResponseReturnValue:
    """Give one more role at one site; it acts at once."""
    role = _role_form()
    if not role.validate_on_submit():
        return _page(NewUserForm(formdata=None), status=422)
    held = _roles_of(user_id)
    new = RoleAt(role.role.data, role.site.data)
    people.set_roles(gate.current_actor(), user_id, sorted({*held, new}))
    return redirect(url_for(".show"))


@bp.post("/<user_id>/roles/remove")
def remove_role(user_id: str) -> ResponseReturnValue:
    """Take one role at one site away; it acts at once."""
    role = _role_form()
    if not role.validate_on_submit():
        return _page(NewUserForm(formdata=None), status=422)
    gone = RoleAt(role.role.data, role.site.data)
    held = [one for one in _roles_of(user_id) if one != gone]
    people.set_roles(gate.current_actor(), user_id, held)
    return redirect(url_for(".show"))


@bp.post("/<user_id>/active")
def set_active(user_id: str) -> ResponseReturnValue:
    """Stop an account, which ends its sessions, or start it again."""
    if NoFieldsForm().validate_on_submit():
        people.set_active(gate.current_actor(), user_id, request.form.get("active") == "1")
    return redirect(url_for(".show"))


def _roles_of(user_id: str) -> tuple[RoleAt, ...]:
    """Return the roles an account holds now; none if there is no such account."""
    rows = people.listing(gate.current_actor())
    return next((row.roles for row in rows if row.user_id == user_id), ())


def _role_form(blank: bool = False) -> RoleForm:
    """Return a form that knows the roles and the sites."""
    form = RoleForm(formdata=None) if blank else RoleForm()
    form.role.choices = list(ROLES.items())
    form.site.choices = people.sites()
    return form


def _page(
    form: NewUserForm, role: RoleForm | None = None, status: int = 200
) -> ResponseReturnValue:
    """Return the page with every account."""
    page = render_template(
        "desk/accounts.html",
        rows=people.listing(gate.current_actor()),
        form=form,
        role_form=role or _role_form(blank=True),
        roles=ROLES,
        may_write=gate.current_actor().may("account.write"),
        sites=dict(people.sites()),
    )
    return page, status
