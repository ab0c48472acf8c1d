"""Joins the desk to the app: its blueprints, the words of the templates, what is around a page."""

from typing import Any

from flask import Flask
from jinja2 import StrictUndefined

from webapp.access import gate
from webapp.desk import (
    accounts,
    audit_log,
    auditing,
    box,
    boxes_aside,
    case,
    catalogue,
    cores,
    credentials,
    devices,
    entry,
    exchange_asked,
    eyes,
    findings,
    formulas,
    joining,
    kept_apart,
    lens_words,
    moments,
    numbers,
    order,
    orders,
    readings,
    recall,
    results,
    states,
    supplier,
    theatre,
    urgent,
    vault_models,
    working,
    worklist,
)
from webapp.desk.forms.plain import NoFieldsForm, ThemeForm

BLUEPRINTS = (
    entry.bp,
    worklist.bp,
    case.bp,
    urgent.bp,
    recall.bp,
    results.bp,
    exchange_asked.bp,
    working.bp,
    order.bp,
    orders.bp,
    supplier.bp,
    box.bp,
    theatre.bp,
    boxes_aside.bp,
    devices.bp,
    accounts.bp,
    audit_log.bp,
    auditing.bp,
    catalogue.bp,
    credentials.bp,
    vault_models.bp,
    cores.bp,
    joining.bp,
    kept_apart.bp,
)

FILTERS = {
    "day": moments.day,
    "moment": moments.moment,
    "minute": moments.minute,
    "elapsed": moments.elapsed,
    "dioptres": numbers.dioptres,
    "millimetres": numbers.millimetres,
    "short_hash": numbers.short_hash,
    "in_hundred": numbers.in_hundred,
    "lens_line": lens_words.lens_line,
    "refraction_line": lens_words.refraction_line,
    "plane_words": lens_words.plane_words,
    "eye_note": states.eye_note,
    "pieces": formulas.pieces,
    "split_findings": findings.split,
    "first_upper": lambda text: text[:1].upper() + text[1:],
}

GLOBALS = {
    "born": moments.born,
    "age_years": lambda date, year: moments.age_years(date, year, moments.now().date()),
    "lens_sentence": lens_words.lens_sentence,
    "value_of": readings.value_of,
    "instrument": readings.instrument,
    "READING_TITLES": readings.TITLES,
    "NEEDED": readings.NEEDED,
    "STATES": states.STATES,
    "ORDERED": states.ORDERED,
    "EYES": eyes.BOTH,
}


def install(app: Flask) -> None:
    """Register the desk on ``app``; it needs ``FONTS_DIR`` in its config for the order sheet."""
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
    # A name that is not there is a fault of the page, never an empty place where an eye belongs.
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.filters.update(FILTERS)
    app.jinja_env.globals.update(GLOBALS)
    app.context_processor(around)


def around() -> dict[str, Any]:
    """Return what every page shows around its content: who, theme, the small forms."""
    if not gate.is_signed_in():
        # A form begins a session. Who follows a link from another site comes without the cookie
        # of their own, which a new one would replace.
        return {"actor": None, "theme": entry.theme_now()}
    return {
        "actor": gate.current_actor(),
        "theme": entry.theme_now(),
        "theme_form": ThemeForm(formdata=None),
        "sign_out_form": NoFieldsForm(formdata=None),
    }
