"""A warp's jobs as one HTML file: it opens anywhere, without a network, and exports what was done."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from loomready.loomside.log.facts import fnv

STATIC = Path(__file__).parents[1] / "static"
# In the order of their imports: each is inlined after what it imports.
MODULES = (
    *(
        "facts",
        "screens",
        "draw",
        "local_store",
        "sync",
        "next_button",
        "warp_strip",
        "whereami",
        "warp_left",
        "voice",
        "stopwatch",
        "timing",
        "panels",
        "slip_align",
        "slip_forward_backward",
        "slip_naming",
        "slip_possible",
        "slip_asking",
        "slip_infer",
        "slip_typed_words",
        "slip_mending",
        "test_weave_marks",
        "test_weave_draw",
        "test_weave_view",
        "test_weave_questions",
        "test_weave_cells",
        "test_weave_slips",
        "test_weave",
    ),
    "job",
)
_IMPORT = re.compile(r"^import [^;]*;\n", re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|class|const|let)\b)", re.MULTILINE)
_EXPORTED = re.compile(r"^export (?:async )?(?:function|class|const|let) (\w+)", re.MULTILINE)
_UNSAFE = {ord(letter): f"\\u{ord(letter):04X}" for letter in "<>&\u2028\u2029"}


def as_text(data: dict[str, Any], facts: str) -> str:
    """The data as the page reads it.

    :param facts: the warp's facts, as JSON: numbers, hex digits and names of jobs, nothing unsafe
    """
    text = json.dumps(data, separators=(",", ":"), ensure_ascii=False).translate(_UNSAFE)
    return f'{text[:-1]},"facts":{facts}}}'


def as_block(text: str) -> SafeString:
    """The data as a block in the page, which no browser runs."""
    return mark_safe(f'<script type="application/json" id="job-data">{text}</script>')


@lru_cache(maxsize=1)
def script() -> str:
    """All modules as one script, each in a scope of its own."""
    parts = []
    for name in MODULES:
        text = (STATIC / "loomside" / f"{name}.js").read_text()
        wanted = re.findall(r'^import \{\s*([^}]*?)\s*\} from "\./(\w+)\.js";', text, re.MULTILINE)
        taken = "".join(f"const {{ {names} }} = module_{source};\n" for names, source in wanted)
        given = ", ".join(_EXPORTED.findall(text))
        body = _EXPORT.sub("", _IMPORT.sub("", text))
        wait = "await " if name == "job" else ""
        head = "async " if name == "job" else ""
        parts.append(
            f"const module_{name} = {wait}({head}() => {{\n{taken}{body}\nreturn {{ {given} }};\n}})();\n"
        )
    return "".join(parts)


@lru_cache(maxsize=1)
def style() -> str:
    sheets = ("app/app.css", "app/parts.css", "loomside/job.css", "loomside/test_weave.css")
    return "".join((STATIC / name).read_text() for name in sheets)


def policy(script_text: str, style_text: str) -> str:
    """Only this file's own script and style run, and nothing is fetched."""
    sums = [
        f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
        for text in (script_text, style_text)
    ]
    return f"default-src 'none'; script-src {sums[0]}; style-src {sums[1]}; img-src data:; base-uri 'none'"


def html(text: str, shown: dict[str, Any]) -> bytes:
    """The file, with a checksum of its data. ``shown``: what the page's template shows beside these."""
    inside = {
        **shown,
        "data": as_block(text),
        "sum": f"{fnv(text):x}",
        "url": "",
        "script": mark_safe(script()),
        "style": mark_safe(style()),
        "policy": policy(script(), style()),
    }
    return render_to_string("loomside/job_saved.html", inside).encode()
