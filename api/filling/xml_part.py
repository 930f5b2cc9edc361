"""Parts of a zipped XML file: one is written anew with the names of its namespaces, the others stay as bytes."""

import io
import re
import zipfile
import zlib
from collections.abc import Callable
from threading import Lock
from xml.etree import ElementTree

_MOST_BYTES = 100_000_000  # judged: of all parts, unpacked
_MOST_TAGS = 3_000_000  # judged: of all parts; 10,000 trips of 40 columns have some 1,600,000
_MOST_NAMESPACES = 100  # judged: of a part; workbooks have some 35
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_DEEPEST = 100  # judged: elements in one another; workbooks have some 20
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
                raise ValueError("its parts are packed in another way than those of workbooks")
            self.parts = {info.filename: archive.read(info) for info in infos}
            if sum(part.count(b"<") for part in self.parts.values()) > _MOST_TAGS:
                raise ValueError(f"its parts have more than {_MOST_TAGS:,} tags")
        except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, OSError) as error:
            raise ValueError("it is not zipped, as workbooks are, or it is cut short or locked") from error
        self.stored = {info.filename for info in infos if info.compress_type == zipfile.ZIP_STORED}

    def zipped(self) -> bytes:
        """Return the file."""
        written = io.BytesIO()
        with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, part in self.parts.items():
                kind = zipfile.ZIP_STORED if name in self.stored else zipfile.ZIP_DEFLATED
                archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), part, kind)
        return written.getvalue()


class _HeededBytes(io.BytesIO):
    """Bytes that are read part by part, before each of which something is called."""

    heed: Callable[[], None]

    def read(self, size: int | None = -1, /) -> bytes:
        """Return the next part."""
        self.heed()
        return super().read(size)


class XmlPart:
    """An XML document, and the prefixes of its namespaces."""

    def __init__(self, body: bytes, heed: Callable[[], None]) -> None:
        """Read a document.

        Args:
            body: the document.
            heed: called while it is read; what it raises ends that.

        Raises:
            ValueError: it is none, is nested too deeply, or has too many namespaces.
        """
        self.prefixes: dict[str, str] = {}
        try:
            heeded = _HeededBytes(body)
            heeded.heed = heed
            events = ElementTree.iterparse(heeded, events=("start-ns",))
            for _, (prefix, address) in events:
                self.prefixes.setdefault(prefix, address)
                if len(self.prefixes) > _MOST_NAMESPACES:
                    raise ValueError(f"it has more than {_MOST_NAMESPACES} namespaces")
            self.root: ElementTree.Element = events.root  # type: ignore[attr-defined]  # documented, not in the stubs
        except ElementTree.ParseError as error:
            raise ValueError(f"a part of it is no well-formed XML: {error}") from error
        level, depth = [self.root], 0
        while level:
            depth += 1
            if depth > _DEEPEST:
                raise ValueError(f"its elements are nested more than {_DEEPEST} deep")
            level = [child for one in level for child in one]

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
