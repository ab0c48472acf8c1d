"""The administrator's page of lens models: what is in force, and a new table read, then adopted."""

from typing import Any

from flask import Blueprint, Response, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.forms.adopting import AdoptCatalogueForm, CatalogueFileForm
from webapp.exchange_formats import catalogue_csv, catalogue_csv_writing
from webapp.exchange_formats.catalogue_columns import COLUMNS
from webapp.exchange_formats.catalogue_csv import LARGEST_BYTES, Problem, Table
from webapp.flow import folding, reference
from webapp.flow.refusal import NotFound, Refused

KIND = "catalogue.adopted"

bp = Blueprint("catalogue", __name__, url_prefix="/desk/catalogue")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """Show the models in force, who adopted which catalogue, and where to bring a new one."""
    return _page(CatalogueFileForm(formdata=None))


@bp.post("/look")
def look() -> ResponseReturnValue:
    """Read a table and show its models, or every error by row; nothing is adopted."""
    form = CatalogueFileForm()
    if not form.validate_on_submit():
        return _page(form, status=422)
    data = form.file.data.read(LARGEST_BYTES + 1)
    table = catalogue_csv.read(data)
    if table.problems:
        return _page(form, problems=table.problems, status=422)
    offered = AdoptCatalogueForm(formdata=None)
    offered.table.data = data.decode("utf-8-sig")
    return _page(form, table=table, offered=offered)


@bp.post("/adopt")
def adopt() -> ResponseReturnValue:
    """Adopt the table that was shown, after the passphrase; it is read again here."""
    form = AdoptCatalogueForm()
    table = catalogue_csv.read((form.table.data or "").encode("utf-8", "replace"))
    blank = CatalogueFileForm(formdata=None)
    if table.problems:
        return _page(blank, problems=table.problems, status=422)
    if not form.validate_on_submit():
        return _page(blank, table=table, offered=form, status=422)
    body = {
        "title": form.title.data,
        "demo": int(form.invented.data),
        "models": table.models,
    }
    try:
        reference.adopt_confirmed(gate.current_actor(), KIND, body, form.passphrase.data)
    except Refused as refusal:
        if refusal.field not in form:
            raise
        form[refusal.field].errors = [refusal.message]
        return _page(blank, table=table, offered=form, status=422)
    return redirect(url_for(".show"))


@bp.get("/in-force.csv")
def in_force_csv() -> ResponseReturnValue:
    """Return the catalogue in force as a table that can be changed and brought again."""
    catalogue = folding.in_force()["catalogue"]
    if catalogue is None:
        raise NotFound("catalogue")
    text = catalogue_csv_writing.write(catalogue["body"]["models"])
    response = Response(text, content_type="text/csv; charset=utf-8; header=present")
    name = f"catalogue-{catalogue['id'][:12]}.csv"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _page(
    file_form: CatalogueFileForm,
    table: Table | None = None,
    offered: AdoptCatalogueForm | None = None,
    problems: list[Problem] | None = None,
    status: int = 200,
) -> ResponseReturnValue:
    """Return the page."""
    in_force: dict[str, Any] | None = folding.in_force()["catalogue"]
    page = render_template(
        "desk/catalogue.html",
        in_force=in_force,
        versions=reference.versions(KIND),
        file_form=file_form,
        table=table,
        offered=offered,
        problems=problems or [],
        columns=list(COLUMNS),
    )
    return page, status
