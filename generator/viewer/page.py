"""One HTML file with the model, every number and the plan, that asks nothing of any network."""

from __future__ import annotations

import base64
import gzip
import json
from html import escape
from pathlib import Path

from generator.parts.assembly import Assembly
from generator.parts.report import Report
from generator.viewer.contents import contents
from generator.viewer.glb import glb_bytes
from generator.viewer.plan import plan_svg

_WEB = Path(__file__).with_name("web")


def write_page(assembly: Assembly, report: Report, path: Path) -> None:
    """Write the page; the same job gives the same bytes.

    Raises:
        OSError: `path` cannot be written.
    """
    path.write_text(page_text(assembly, report), encoding="utf-8", newline="\n")


def page_text(assembly: Assembly, report: Report) -> str:
    """The page as text. Sources of its script are in `web/src`, bundled to `web/page.js`."""
    job = assembly.job
    facts = json.dumps(contents(assembly, report), ensure_ascii=False, separators=(",", ":"))
    number = f"job {job.number}, " if job.number else ""
    blocks = {
        "title": escape(f"{job.title}: model"),
        "heading": escape(job.title),
        "about": escape(f"{number}rules {job.rules.edition}"),
        "style": _web("page.css"),
        "plan": plan_svg(assembly),
        "facts": _packed(facts.encode()),
        "model": _packed(glb_bytes(assembly)),
        "script": _web("page.js").replace("</script", "<\\/script"),
    }
    text = _web("page.html")
    pieces = text.split("{")
    filled = [pieces[0]]
    for piece in pieces[1:]:
        name, _, rest = piece.partition("}")
        filled.append(blocks[name] + rest)
    return "".join(filled)


def _web(name: str) -> str:
    return (_WEB / name).read_text(encoding="utf-8")


def _packed(data: bytes) -> str:
    return base64.b64encode(gzip.compress(data, compresslevel=9, mtime=0)).decode("ascii")
