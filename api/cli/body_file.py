"""A body from a file or from standard input: JSON, TOML or YAML, each read as strictly as JSON over HTTP."""

import codecs
import json
import sys
from pathlib import Path
from typing import Any

from api.http.json_reader import TooMuchJson, single_keys, strict_json
from api.settings.refused import Refused

_PACKED = b"PK\x03\x04"  # a zip, as .xlsx and .ods are (APPNOTE 4.3.7)
_YAML = (".yaml", ".yml")
_MOST_TEXT = 4_000_000  # judged: bytes of TOML or YAML, which are slow to read
_DEEPEST = 100  # judged: lists and mappings in one another


class _BodyTooRich(Refused, ValueError):
    """A file holds more values than any question needs."""


def read_body(name: str) -> Any:
    """Return the value of a file, by how its name ends, or of JSON on standard input where the name is a dash.

    Raises:
        OSError: the file can't be read.
        json.JSONDecodeError: it is not JSON, or not as strict as over HTTP.
        Refused: it is a workbook, not TOML or YAML, holds what JSON can't, or more values than any question needs.
    """
    body = (sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()).removeprefix(codecs.BOM_UTF8)
    if body.startswith(_PACKED):
        raise Refused(f"{name} is a workbook or another packed file\nkitwright trips answers a workbook of trips")
    kind = Path(name).suffix.lower()
    if kind in (".toml", *_YAML) and len(body) > _MOST_TEXT:
        raise _BodyTooRich(f"the file has {len(body):,} bytes, more than {_MOST_TEXT:,}; JSON may have more")
    if kind == ".toml":
        return _as_json(_toml(body), "TOML")
    if kind in _YAML:
        return _as_json(_yaml(body), "YAML")
    try:
        return strict_json(body)
    except TooMuchJson as error:
        raise _BodyTooRich(str(error)) from error
    except json.JSONDecodeError as error:
        what = "what came in" if name == "-" else name
        raise json.JSONDecodeError(f"{what} is no JSON: {error.msg}", error.doc, error.pos) from error


def _as_json(value: Any, kind: str) -> Any:
    """Return a value as JSON has it.

    Raises:
        Refused: it holds a date, an infinity or something else that JSON does not have.
    """
    try:
        return json.loads(json.dumps(value, allow_nan=False))
    except (TypeError, ValueError) as error:
        raise Refused(f"the {kind} holds what a trip can't: {error}") from error


def _toml(body: bytes) -> Any:
    """Return the value of a TOML text.

    Raises:
        Refused: it is none.
    """
    import tomllib  # late: most bodies are JSON

    try:
        return tomllib.loads(body.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise Refused(f"no TOML: {_told(error)}") from error


def _yaml(body: bytes) -> Any:
    """Return the value of a YAML text: one document, no key twice, nothing that stands in several places at once.

    Raises:
        Refused: it is none.
    """
    import yaml  # late: most bodies are JSON

    strict: Any = type("Strict", (yaml.SafeLoader,), {})

    def mapping(loader: Any, node: Any) -> dict[str, Any]:
        return single_keys(
            [(loader.construct_object(key, True), loader.construct_object(value, True)) for key, value in node.value]
        )

    strict.add_constructor(yaml.resolver.BaseResolver.DEFAULT_MAPPING_TAG, mapping)
    try:
        text = body.decode("utf-8")
        depth = 0
        for event in yaml.parse(text, yaml.SafeLoader):
            if isinstance(event, yaml.AliasEvent):
                raise Refused("no YAML that is taken: write each value where it belongs, without & and *")
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth > _DEEPEST:
                raise RecursionError
        return yaml.load(text, strict)  # a safe loader
    except (ValueError, RecursionError, TypeError, yaml.YAMLError) as error:
        raise Refused(f"no YAML: {_told(error)}") from error


def _told(error: Exception) -> object:
    """Return what is wrong with a text."""
    return "it is nested too deeply" if isinstance(error, RecursionError) else error
