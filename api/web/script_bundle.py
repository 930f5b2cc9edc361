"""ES modules of a page as one file, so that a browser asks once: each in a block of its own, in order of need.

What the page needs later is a second file, which a module of the first imports when it is time.
"""

import re
from posixpath import basename, dirname, join, normpath

_IMPORT = re.compile(r'^import \{ (?P<names>[^}]*) \} from "(?P<path>[^"]+)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export \{ (?P<names>[^}]*) \};\n?", re.MULTILINE)
_OTHER_WAYS = re.compile(r"^(import|export)\b", re.MULTILINE)
_HEAD, _TAIL = "const modules = {};", "export { modules };\n"  # a later bundle takes them


def bundled(modules: dict[str, str], entry: str) -> str:
    """Return one module that does what `entry` does.

    Modules import and export names in braces, an import on a line of its own; paths are relative to the module's own.

    Args:
        modules: their texts by path.
        entry: the path of the one that runs last.

    Raises:
        ValueError: a module imports one that is not there or that imports it in turn, or in another way.
    """
    return "\n".join((_HEAD, *_blocks(modules, _order(modules, entry)), _TAIL))


def bundled_later(modules: dict[str, str], entry: str, first: str) -> str:
    """Return one module that exports what `entry` does, of modules that the bundle of `first` lacks.

    A module of the first bundle imports it by its address, `import("./later.js")`, behind something on its line. The
    first bundle must not wait for it at its top: this one runs only once the first has.

    Raises:
        ValueError: as `bundled`.
    """
    there = _order(modules, first)
    order = [path for path in _order(modules, entry) if path not in there]
    exported = ", ".join(found["names"].strip() for found in _EXPORT.finditer(modules[entry]))
    head = f'import {{ modules }} from "./{basename(first)}";'
    tail = f'export const {{ {exported} }} = modules["{entry}"];\n'
    return "\n".join((head, *_blocks(modules, order), tail))


def _order(modules: dict[str, str], entry: str) -> list[str]:
    """Return the paths of a module and of all that it needs, each behind what it needs itself."""
    order: list[str] = []
    _visit(modules, entry, order, ())
    return order


def _blocks(modules: dict[str, str], order: list[str]) -> list[str]:
    """Return modules as blocks."""
    return [_block(path, modules[path]) for path in order]


def _visit(modules: dict[str, str], path: str, order: list[str], above: tuple[str, ...]) -> None:
    """Put a module behind all that it needs."""
    if path in order:
        return
    if path in above:
        raise ValueError(f"{path} imports itself by way of {', '.join(above)}")
    if path not in modules:
        raise ValueError(f"{above[-1] if above else 'the page'} imports {path}, which is not there")
    for found in _IMPORT.finditer(modules[path]):
        _visit(modules, _resolved(path, found["path"]), order, (*above, path))
    order.append(path)


def _resolved(importer: str, path: str) -> str:
    """Return the path of an imported module."""
    return normpath(join(dirname(importer), path))


def _block(path: str, text: str) -> str:
    """Return a module as a block: what it imports read from the ones before, what it exports put where they look."""

    def read(found: re.Match[str]) -> str:
        return f'const {{ {found["names"]} }} = modules["{_resolved(path, found["path"])}"];\n'

    inside = _EXPORT.sub(lambda found: f'modules["{path}"] = {{ {found["names"]} }};\n', _IMPORT.sub(read, text))
    if _OTHER_WAYS.search(inside):
        raise ValueError(f"{path} imports or exports in a way that can't be joined")
    return f"{{ // {path}\n{inside}}}"
