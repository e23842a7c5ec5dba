"""QR codes for a page."""

from __future__ import annotations

from django.utils.safestring import SafeString


def svg(text: str) -> SafeString:
    """A QR code as a picture inside the page, dark on white in any light; what it says stands beside it."""
    import segno  # only for the page that shows one

    made = segno.make_qr(text, error="m").svg_inline(
        border=4, dark="#000", light="#fff", svgclass="qr", lineclass=None, omitsize=True
    )
    return SafeString(made.replace("<svg ", '<svg aria-hidden="true" ', 1))
