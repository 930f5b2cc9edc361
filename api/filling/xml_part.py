"""Parts of a zipped XML file: one is written anew with the names of its namespaces, the others stay as bytes."""

import io
import re
import struct
import zipfile
import zlib
from threading import Lock
from xml.etree import ElementTree

_MOST_BYTES = 100_000_000  # judged: of all parts, unpacked
_MOST_TAGS = 5_000_000  # judged: of all parts; an element takes some 200 bytes
_MOST_NAMESPACES, _DEEPEST = 100, 100  # judged: of a part
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_DECLARATION = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_OWN_PREFIX = re.compile(r"ns\d+$")  # what the library calls a namespace by itself
_names = Lock()  # the library knows one list of prefixes for all documents


class ZippedFile:
    """The parts of a zipped file, in their order."""

    def __init__(self, body: bytes) -> None:
        """Open a file.

        Raises:
            ValueError: it is not zipped, or its parts are too large.
        """
        try:
            archive = zipfile.ZipFile(io.BytesIO(body))
            infos = archive.infolist()
            if sum(info.file_size for info in infos) > _MOST_BYTES:
                raise ValueError(f"its parts are larger than {_MOST_BYTES // 1_000_000} MB")
            if any(info.compress_type not in _PACKED for info in infos):
                raise ValueError("it is packed in another way than such files are")
            self.parts = {info.filename: archive.read(info) for info in infos}
        except (zipfile.BadZipFile, zlib.error, struct.error, RuntimeError, EOFError, OSError) as error:
            raise ValueError(str(error) or "it is not zipped") from error
        if sum(part.count(b"<") for part in self.parts.values()) > _MOST_TAGS:
            raise ValueError(f"its parts hold more than {_MOST_TAGS} tags")
        self.stored = {info.filename for info in infos if info.compress_type == zipfile.ZIP_STORED}

    def zipped(self) -> bytes:
        """Return the file."""
        written = io.BytesIO()
        with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, part in self.parts.items():
                kind = zipfile.ZIP_STORED if name in self.stored else zipfile.ZIP_DEFLATED
                archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), part, kind)
        return written.getvalue()


class XmlPart:
    """An XML document, and the prefixes of its namespaces."""

    def __init__(self, body: bytes) -> None:
        """Read a document.

        Raises:
            ValueError: it is none, defines entities, is nested too deeply, or has too many namespaces.
        """
        if b"<!DOCTYPE" in body:
            raise ValueError("it has a DOCTYPE, which such files have not")
        self.prefixes: dict[str, str] = {}
        depth = 0
        try:
            events = ElementTree.iterparse(io.BytesIO(body), events=("start-ns", "start", "end"))
            for event, found in events:
                if event == "start-ns":
                    self.prefixes.setdefault(*found)
                depth += {"start": 1, "end": -1}.get(event, 0)
                if depth > _DEEPEST or len(self.prefixes) > _MOST_NAMESPACES:
                    raise ValueError("it is nested too deeply, or has too many namespaces")
            self.root: ElementTree.Element = events.root  # type: ignore[attr-defined]  # documented, not in the stubs
        except ElementTree.ParseError as error:
            raise ValueError(f"not well-formed: {error}") from error

    def written(self) -> bytes:
        """Return the document; prefixes that only values name, as those of formulas, are declared too."""
        with _names:
            known: dict[str, str] = ElementTree._namespace_map  # type: ignore[attr-defined]  # no public way to forget
            before = dict(known)
            try:
                for prefix, address in self.prefixes.items():
                    if not _OWN_PREFIX.match(prefix):
                        ElementTree.register_namespace(prefix, address)
                text = ElementTree.tostring(self.root, encoding="unicode")
            finally:
                known.clear()
                known.update(before)
        start = re.match(r"<[^>]*>", text)
        assert start is not None
        missing = "".join(
            f' xmlns:{prefix}="{_escaped(address)}"'
            for prefix, address in self.prefixes.items()
            if prefix and f"xmlns:{prefix}=" not in start[0]
        )
        end = start.end() - (2 if start[0].endswith("/>") else 1)
        return _DECLARATION + f"{text[:end]}{missing}{text[end:]}".encode()


def _escaped(text: str) -> str:
    """Return a text as the value of an attribute."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
