"""The recall list: operated eyes whose visit is due or late, and the calls made for each."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.eyes import eye_of
from webapp.desk.forms.follow_up import ContactForm
from webapp.flow import casefile, people, recall
from webapp.flow.casefile import PersonFile
from webapp.flow.refusal import Refused
from webapp.records.kinds import KINDS

bp = Blueprint("recall", __name__, url_prefix="/desk/recall")
bp.before_request(entry.require_sign_in)

EYE = "<any(R, L):eye>"
HOW = dict(KINDS["recall.contact"].fields["how"]["choices"])


@bp.get("")
def show() -> ResponseReturnValue:
    """List who is lost, overdue and due, of all camps or of one."""
    actor = gate.current_actor()
    mine = actor.sites_for("case.read")
    sites = {site: title for site, title in people.sites() if site in mine}
    site = request.args.get("site", "")
    site = site if site in sites else ""
    rows = recall.listed(actor, site)
    return render_template(
        "desk/recall.html",
        rows=rows,
        sites=sites,
        site=site,
        how=HOW,
        most=recall.MOST_OF_ONE_STATE,
    )


@bp.get(f"/<uuid:person>/{EYE}")
def eye(person: object, eye: str) -> ResponseReturnValue:
    """Show the visits of one eye, the calls made, and the form for another one."""
    file = casefile.person_file(gate.current_actor(), str(person))
    return _page(file, eye, ContactForm(formdata=None))


@bp.post(f"/<uuid:person>/{EYE}")
def keep(person: object, eye: str) -> ResponseReturnValue:
    """Keep one call, or show the page again with the reason."""
    actor, form = gate.current_actor(), ContactForm()
    file = casefile.person_file(actor, str(person))
    if not form.validate_on_submit():
        return _page(file, eye, form, status=422)
    comes_on = form.comes_on.data
    said = {
        "how": form.how.data,
        "reached": form.reached.data,
        "text": form.text.data or None,
        "comes_on": comes_on.isoformat() if comes_on else None,
    }
    try:
        recall.keep_contact(actor, file.person, eye, said)
    except Refused as refusal:
        form.how.errors = [refusal.message]
        return _page(file, eye, form, status=409)
    return redirect(url_for(".eye", person=file.person, eye=eye))


def _page(file: PersonFile, eye: str, form: ContactForm, status: int = 200) -> ResponseReturnValue:
    page = render_template(
        "desk/recall_eye.html",
        file=file,
        eye=eye_of(eye),
        surgeries=file.fold["eyes"][eye]["surgeries"],
        may_call=gate.current_actor().may("recall.contact", file.site),
        form=form,
        how=HOW,
    )
    return page, status
