"""The review page as one HTML text from its values and the templates beside: no network, a strict security policy; no files written.

All that comes from the document is in one JSON text, which the page's script puts on screen as text and never as markup.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files

import msgspec
from jinja2 import Environment, PackageLoader, StrictUndefined

from previs.exchange import tones
from previs.review.page_values import PageData

SCRIPTS = (
    *("elements.js", "clock.js", "movie.js", "beside.js", "chart_parts.js", "chart_reach.js", "chart.js", "papers.js", "shapes.js"),
    *("drawing.js", "note_values.js", "keeping.js", "files.js", "note_form.js", "note_list.js", "keys.js", "start.js"),
)
"""The files of the script in the order in which they stand in the page; a later one may use what an earlier one names."""

_STYLES = ("looks.css", "page.css", "papers.css", "narrow.css")

# What could end the element or the line that holds it, in every reader of HTML and of script.
_ESCAPED = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}


def page_text(data: PageData) -> str:
    """The whole of index.html; the same values give the same text."""
    script, style = _script(), _style()
    return (
        _templates()
        .get_template("index.html")
        .render(
            policy=policy(script, style),
            title=f"{data.title}: cut {data.cut}, for review",
            script=script,
            style=style,
            json=json_in_html(data),
            confidential=data.confidential,
            beside=data.beside is not None,
        )
    )


def policy(script: str, style: str) -> str:
    """The page's Content-Security-Policy: this very script and style, the movies beside it, nothing from anywhere else."""
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src '{_hashed(script)}'",
            f"style-src '{_hashed(style)}'",
            # From a disk a browser may not count the page's own folder as 'self'. A server that cannot send a part of a file
            # makes the script fetch the movie as a whole and play it from memory: from its own server, and from no other.
            "media-src 'self' file: blob:",
            "connect-src 'self'",
            "base-uri 'none'",
            "form-action 'none'",
            "require-trusted-types-for 'script'",
            "trusted-types 'none'",
        )
    )


def json_in_html(value: object) -> str:
    """A value as JSON that can stand inside a script element whatever its texts hold."""
    text = msgspec.json.encode(value).decode()
    for sign, escaped in _ESCAPED.items():
        text = text.replace(sign, escaped)
    return text


def _hashed(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


def _script() -> str:
    # Not as templates: a brace and a number sign next to each other are script here.
    parts = "\n".join(files("previs.review").joinpath("page", name).read_text("utf-8") for name in SCRIPTS)
    return f'"use strict";\n(() => {{\n{parts}\n}})();\n'


def _style() -> str:
    colours = {name.lower(): value for name, value in vars(tones).items() if name.isupper() and isinstance(value, str)}
    return "\n".join(_templates().get_template(name).render(colours) for name in _STYLES)


@cache
def _templates() -> Environment:
    # The templates' own words are ours; `title` alone comes from the document, and is escaped like all that stands in HTML.
    return Environment(
        loader=PackageLoader("previs.review", "page"),
        autoescape=lambda name: name is not None and name.endswith(".html"),
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
