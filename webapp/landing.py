"""The first page: what this is, its two doors, and in the demo who can sign in."""

from flask import Blueprint, current_app, render_template
from flask.typing import ResponseReturnValue

from webapp.demo_people import DEMO_PEOPLE, PASSPHRASE

bp = Blueprint("landing", __name__)


@bp.get("/")
def show() -> ResponseReturnValue:
    """Show the first page; it needs no JavaScript and no database."""
    if not current_app.config["DEMO"]:
        return render_template("landing.html")
    return render_template("landing.html", demo_people=DEMO_PEOPLE, passphrase=PASSPHRASE)
