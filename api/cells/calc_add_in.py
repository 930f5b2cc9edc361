"""The add-in for Calc: an .oxt, which is a zip of a component in Python, the types it has, and its descriptions."""

import io
import zipfile
from functools import lru_cache
from html import escape
from importlib.metadata import version
from importlib.resources import files

from api.cells.cell_function import CELL_FUNCTIONS, CellFunction

_NAME = "kitwright.CellFunctions"  # as component.py has it
_GRID = "sequence< sequence< any > >"
_OPENOFFICE = "http://openoffice.org/2001"
_TIME = (1980, 1, 1, 0, 0, 0)  # the earliest of a zip: equal files have equal bytes
_MANIFEST = f"""<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="{_OPENOFFICE}/manifest">
<manifest:file-entry manifest:media-type="application/vnd.sun.star.uno-typelibrary;type=RDB"
 manifest:full-path="types.idl"/>
<manifest:file-entry manifest:media-type="application/vnd.sun.star.uno-components"
 manifest:full-path="kitwright.components"/>
<manifest:file-entry manifest:media-type="application/vnd.sun.star.configuration-data"
 manifest:full-path="CalcAddIns.xcu"/>
</manifest:manifest>
"""
_COMPONENTS = f"""<?xml version="1.0" encoding="UTF-8"?>
<components xmlns="http://openoffice.org/2010/uno-components">
<component loader="com.sun.star.loader.Python" uri="python/component.py">
<implementation name="{_NAME}"><service name="com.sun.star.sheet.AddIn"/></implementation>
</component>
</components>
"""


@lru_cache(maxsize=8)
def add_in_for(service: str) -> bytes:
    """Return the add-in that asks the service at an address, and no other, whatever file uses it."""
    python = files("api").joinpath("cells", "calc")
    texts = {
        "META-INF/manifest.xml": _MANIFEST,
        "description.xml": _description(),
        "types.idl": _types(),
        "kitwright.components": _COMPONENTS,
        "CalcAddIns.xcu": _registered(),
        "python/component.py": python.joinpath("component.py").read_text("utf-8"),
        "python/pythonpath/kitwright_cells.py": python.joinpath("pythonpath", "kitwright_cells.py").read_text("utf-8"),
        "python/pythonpath/kitwright_service.py": f'"""Which service is asked."""\n\nSERVICE = {service!r}\n',
    }
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as file:
        for name, text in texts.items():
            file.writestr(zipfile.ZipInfo(name, _TIME), text, zipfile.ZIP_DEFLATED)
    return written.getvalue()


def _description() -> str:
    """Return what the list of extensions shows."""
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006">
<identifier value="kitwright.cell-functions"/>
<version value="{version("kitwright")}"/>
<display-name><name lang="en">Kitwright: functions for cells</name></display-name>
</description>
"""


def _types() -> str:
    """Return the interface of the component in UNOIDL, which Calc reads as it stands (UNO type source file)."""
    methods = "\n".join(f"        {_GRID} {one.method}({_parameters(one)});" for one in CELL_FUNCTIONS)
    return f"module kitwright {{\n    interface XCellFunctions {{\n{methods}\n    }};\n}};\n"


def _parameters(function: CellFunction) -> str:
    """Return the parameters of a function: cells, or one value or nothing where it may be left out."""
    return ", ".join(f"[in] {'any' if optional else _GRID} {name}" for name, _, optional in function.arguments)


def _registered() -> str:
    """Return the descriptions that Calc shows of the functions."""
    functions = "\n".join(map(_described, CELL_FUNCTIONS))
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<oor:component-data xmlns:oor="{_OPENOFFICE}/registry" oor:name="CalcAddIns" oor:package="org.openoffice.Office">
<node oor:name="AddInInfo">
<node oor:name="{_NAME}" oor:op="replace"><node oor:name="AddInFunctions">
{functions}
</node></node>
</node>
</oor:component-data>
"""


def _described(function: CellFunction) -> str:
    """Return the description of a function."""
    arguments = "\n".join(
        f'<node oor:name="{name}" oor:op="replace">{_told("DisplayName", name)}{_told("Description", told)}</node>'
        for name, told, _ in function.arguments
    )
    return (
        f'<node oor:name="{function.method}" oor:op="replace">'
        f"{_told('DisplayName', function.name)}{_told('Description', function.told)}"
        f'<prop oor:name="Category"><value>Add-In</value></prop>\n'
        f'<node oor:name="Parameters">\n{arguments}\n</node></node>'
    )


def _told(name: str, text: str) -> str:
    """Return a text that is shown."""
    return f'<prop oor:name="{name}"><value xml:lang="en">{escape(text)}</value></prop>'
