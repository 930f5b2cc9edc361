"""The workshop on the command line: kitwright outline and kitwright workshop-sheet."""

import argparse
import json
from pathlib import Path
from typing import Any

from rich.text import Text

from api.cli.body_file import read_body
from api.endpoints.designs import typical_designs
from api.examples.invented import design_examples
from api.printing.told_console import ToldConsole
from api.settings.refused import Refused
from api.workshop.outline_example import EXAMPLE_SVG
from api.workshop.outline_file import ReadingForm
from api.workshop.outline_reader import FileKind, read_design
from catalog.bench.design import Design

_OK = 0
_KINDS: dict[str, FileKind] = {".svg": "svg", ".dxf": "dxf"}


def write_sheet(asked: argparse.Namespace) -> int:
    """Write the workshop sheet of a design."""
    if asked.pdf is None and asked.dxf is None:
        raise Refused("name a file to write: --pdf FILE, --dxf FILE or both")
    body = design_examples()[asked.example] if asked.example else read_body(asked.design)
    design = Design.model_validate(body)
    written = []
    if asked.pdf is not None:
        from api.workshop.pdf_sheet import sheet_pdf  # late: the plotting library takes its time to load

        asked.pdf.write_bytes(sheet_pdf(design, paper=asked.paper, process=asked.process, heed=_unhurried))
        written.append(asked.pdf)
    if asked.dxf is not None:
        from api.workshop.dxf_sheet import sheet_dxf

        asked.dxf.write_bytes(sheet_dxf(design, process=asked.process, heed=_unhurried))
        written.append(asked.dxf)
    if asked.json:
        print(json.dumps({"written": [str(path) for path in written]}))
    else:
        ToldConsole().print(Text(f"wrote {' and '.join(str(path) for path in written)}: views at 1:1, measures in mm"))
    return _OK


def read_outline(asked: argparse.Namespace) -> int:
    """Read the outline of a drawing file into a design."""
    kind: FileKind | None = "svg" if asked.example else _KINDS.get(asked.file.suffix.lower())
    if kind is None:
        raise Refused(f"{asked.file} is no .svg and no .dxf")
    like = _design_like(asked.like)
    said = {name: getattr(asked, name) for name in ReadingForm.model_fields if getattr(asked, name) is not None}
    form = ReadingForm.model_validate(said)
    body = EXAMPLE_SVG.encode() if asked.example else asked.file.read_bytes()
    found = read_design(body, kind, like=like, form=form, heed=_unhurried)
    design = found.design.model_dump(mode="json", exclude_unset=True)
    if asked.out is not None:
        asked.out.write_text(json.dumps(design, indent=1) + "\n", encoding="utf-8")
    if asked.json:
        print(json.dumps(found.model_dump(mode="json", exclude_unset=True), indent=1))
        return _OK
    console, outline = ToldConsole(), found.outline
    holes = f", {outline.holes} holes" if outline.holes else ""
    console.print(
        Text(
            f"outline: {outline.area_mm2:g} mm2, {outline.length_mm:g} by {outline.height_mm:g} mm{holes}; "
            f"points within {outline.within_mm:g} mm of it"
        )
    )
    for field, value in found.changes.items():
        console.print(Text(f"{field}: {_shown(value)}"))
    console.print(Text(f"mass {found.mass_g:g} g, without a cover"))
    for note in [*found.notes, *(f"left out: {name}" for name in outline.left_out)]:
        console.print(Text(f"- {note}"))
    if asked.out is not None:
        console.print(Text(f"wrote {asked.out}"))
    return _OK


def _shown(value: Any) -> str:
    """Return a changed field in words."""
    if isinstance(value, dict):
        return f"{len(value['spine'])} points of spine, {len(value['edge'])} of edge"
    return "as the outline has it" if value is None else f"{value:g}"


def _design_like(named: str) -> Design:
    """Return the design of a file, or the typical drawing of an id."""
    known = {one.id: one for one in typical_designs()}
    if named in known or not Path(named).suffix:
        if named not in known:
            raise Refused(f"{named} is no file, and no typical drawing: {', '.join(known)}")
        return known[named]
    return Design.model_validate(read_body(named))


def _unhurried() -> None:
    """Go on: who waits can end the command."""
