"""How a person comes in and out of the desk: signing in, signing out, light or dusk."""

from flask import Blueprint, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk.forms.plain import NoFieldsForm, ThemeForm
from webapp.desk.forms.sign_in import SignInForm
from webapp.flow.refusal import Refused

THEMES = ("light", "dusk")
THEME_COOKIE = "lampside-theme"
A_YEAR_S = 365 * 24 * 3600

bp = Blueprint("entry", __name__, url_prefix="/desk")


def own_page(address: str | None) -> str:
    """Return ``address`` if it is a page of the desk, else the worklist: never another site."""
    home = url_for("worklist.show")
    if not address or not address.startswith("/desk/"):
        return home
    is_plain = address.isascii() and address.isprintable() and "\\" not in address
    return address if is_plain else home


require_sign_in = gate.ask_to_sign_in
"""What each blueprint of the desk runs before its views."""


@bp.get("/sign-in")
def sign_in_page() -> ResponseReturnValue:
    """Ask who is at the desk."""
    if gate.is_signed_in():
        return redirect(url_for("worklist.show"))
    form = SignInForm(next=request.args.get("next", ""))
    return render_template("desk/sign_in.html", form=form)


@bp.post("/sign-in")
def sign_in() -> ResponseReturnValue:
    """Sign in, or say what was wrong; the name stays, the passphrase does not."""
    form = SignInForm()
    if not form.validate_on_submit():
        return render_template("desk/sign_in.html", form=form), 422
    try:
        gate.begin_session(form.name.data, form.passphrase.data)
    except Refused as refusal:
        form.passphrase.errors = [refusal.message]
        return render_template("desk/sign_in.html", form=form), 422
    return redirect(own_page(form.next.data))


@bp.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    """End the session, on the server too."""
    if NoFieldsForm().validate_on_submit():
        gate.end_session()
    return redirect(url_for("entry.sign_in_page"))


@bp.post("/theme")
def choose_theme() -> ResponseReturnValue:
    """Keep light or dusk in this browser."""
    form = ThemeForm()
    response = redirect(own_page(form.back.data))
    if form.validate_on_submit() and form.theme.data in THEMES:
        secure = bool(current_app.config.get("SESSION_COOKIE_SECURE"))
        response.set_cookie(
            THEME_COOKIE,
            form.theme.data,
            max_age=A_YEAR_S,
            secure=secure,
            httponly=True,
            samesite="Strict",
        )
    return response


def theme_now() -> str:
    """Return the theme of this browser; paper until somebody chose."""
    chosen = request.cookies.get(THEME_COOKIE, "")
    return chosen if chosen in THEMES else THEMES[0]
