"""The headers of every answer: what a browser may load and run, who may frame it, what it tells others and keeps."""

from __future__ import annotations

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; form-action 'self'; "
    "img-src 'self' data:; base-uri 'none'; frame-ancestors 'none'"
)
GUARDS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # with none at all, browsers send forms with Origin: null
    "Cache-Control": "no-store",
}
MAY_DIFFER = ("Content-Security-Policy", "Cache-Control")
"""The as-built sheet allows its own style, no more; pages with a tag and files are kept."""
