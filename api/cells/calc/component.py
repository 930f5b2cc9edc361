"""The add-in as Calc finds it: its functions, handed on to kitwright_cells.py."""

import unohelper
from com.sun.star.lang import XServiceInfo, XServiceName
from kitwright import XCellFunctions
from kitwright_cells import Service
from kitwright_service import SERVICE

NAME = "kitwright.CellFunctions"
_SERVICES = ("com.sun.star.sheet.AddIn",)


class CellFunctions(unohelper.Base, XCellFunctions, XServiceInfo, XServiceName):
    """The functions, each a method of the interface that `types.idl` has."""

    def __init__(self, _context):
        self.service = Service(SERVICE)

    def oneTrip(self, fields, names, values, units):
        """KITWRIGHT."""
        return _cells(self.service.one_trip(fields, names, values, units))

    def manyTrips(self, fields, names, rows, units):
        """KITWRIGHT_TRIPS."""
        return _cells(self.service.many_trips(fields, names, rows, units))

    def state(self, _again):
        """KITWRIGHT_STATE."""
        return _cells(self.service.state())

    def getServiceName(self):
        """By what name Calc finds the descriptions of the functions."""
        return NAME

    def getImplementationName(self):
        """By what name it is registered."""
        return NAME

    def getSupportedServiceNames(self):
        """It is an add-in."""
        return _SERVICES

    def supportsService(self, name):
        """Whether it is one."""
        return name in _SERVICES


def _cells(rows):
    """Rows as UNO takes them."""
    return tuple(tuple(row) for row in rows)


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(CellFunctions, NAME, _SERVICES)
