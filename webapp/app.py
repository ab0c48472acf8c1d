"""The web application: the only place where its parts are joined."""

from datetime import timedelta
from functools import partial

from flask import Flask
from werkzeug.middleware.proxy_fix import ProxyFix

from webapp import landing, static_files
from webapp.access import auth, gate, headers, problems, reports
from webapp.built_files import address_of
from webapp.core_bundle import core_sha256
from webapp.desk import pages as desk
from webapp.flow import desk_key, kept_cores, passphrases, recovery_key
from webapp.flow.accounts import ON_A_PHONE
from webapp.settings import Settings
from webapp.store import database
from webapp.sync import routes as sync

LARGEST_REQUEST = 1024 * 1024


def create_app(settings: Settings) -> Flask:
    """Return the application for these settings.

    Args:
        settings: where everything is; the database must have been made before.
    """
    database.bind(settings.database_url)
    desk_key.use(settings.data_dir / "desk_key.pem")
    recovery_key.use(settings.data_dir)
    kept_cores.use(settings.data_dir)
    kept_cores.keep_current()
    passphrases.dummy_hash()
    app = Flask(__name__, static_folder=None)
    app.config.update(_config(settings))
    headers.install(app)
    problems.install(app)
    gate.install(app)
    for blueprint in (landing.bp, static_files.bp, auth.bp, reports.bp, sync.bp):
        app.register_blueprint(blueprint)
    desk.install(app)
    app.jinja_env.globals.update(
        asset_url=partial(address_of, settings.built_dir),
        core_short=core_sha256()[:8],
        demo=settings.demo,
    )
    if settings.trusted_hops:
        _believe_proxies(app, settings.trusted_hops)
    return app


def _config(settings: Settings) -> dict[str, object]:
    name = "__Host-lampside" if settings.secure_cookies else "lampside"
    return {
        "SECRET_KEY": settings.secret_key,
        "DEMO": settings.demo,
        "PHONES_WAIT": settings.phones_wait,
        "BUILT_DIR": settings.built_dir,
        "FONTS_DIR": settings.built_dir / "fonts",
        "TRUSTED_HOSTS": list(settings.trusted_hosts),
        "MAX_CONTENT_LENGTH": LARGEST_REQUEST,
        "MAX_FORM_MEMORY_SIZE": LARGEST_REQUEST // 2,
        "MAX_FORM_PARTS": 200,
        "SESSION_COOKIE_NAME": name,
        "SESSION_COOKIE_SECURE": settings.secure_cookies,
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Strict",
        "SESSION_COOKIE_PATH": "/",
        "SESSION_REFRESH_EACH_REQUEST": False,
        "PERMANENT_SESSION_LIFETIME": timedelta(seconds=ON_A_PHONE.absolute_s),
        # A day offline must not make a phone's token worthless; it ends with the session.
        "WTF_CSRF_TIME_LIMIT": None,
    }


def _believe_proxies(app: Flask, hops: int) -> None:
    """Take address and scheme from exactly as many proxies as stand in front.

    Never the host: what ``Host`` says is checked against the settings, and a forwarded one, which
    a careless proxy passes on as a browser made it up, is not looked at.
    """
    app.wsgi_app = ProxyFix(  # type: ignore[method-assign]
        app.wsgi_app, x_for=hops, x_proto=hops, x_host=0
    )
