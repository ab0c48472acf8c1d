"""The headers every answer carries, errors included.

The content security policy lets the page run its own files and WebAssembly and nothing else.
``same-origin`` and not ``no-referrer``: over HTTPS the CSRF check wants to see a Referer.
"""

from flask import Flask, Response, current_app, request

CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self' 'wasm-unsafe-eval'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "object-src 'none'",
        "require-trusted-types-for 'script'",
        "trusted-types lampside-static lit-html",
        "report-to policy",
    )
)

ALWAYS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
    "Reporting-Endpoints": 'policy="/reports"',
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}

TWO_YEARS = "max-age=63072000; includeSubDomains"
NEVER_KEPT = ("/sync", "/auth", "/desk")


def add_headers(response: Response) -> Response:
    """Put the headers on an answer."""
    for name, value in ALWAYS.items():
        response.headers[name] = value
    if current_app.config["SESSION_COOKIE_SECURE"]:
        response.headers["Strict-Transport-Security"] = TWO_YEARS
    if request.path.startswith(NEVER_KEPT) or response.status_code >= 400:
        response.headers["Cache-Control"] = "no-store"
    return response


def install(app: Flask) -> None:
    """Put the headers on every answer of this app."""
    app.after_request(add_headers)
