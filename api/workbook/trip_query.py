"""The workings of one tab: its trip as an address, the one answer to it, the answer's lines and members.

They stand on the tab itself, beyond what is printed, so that a copy of the tab works by itself, in any file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api.workbook.tab_units import UNITS_AT, us_fields, us_fields_formula
from api.workbook.workbook import Content, WorkbookSheet, letters

PIECES_AT, LINES_AT, GRIDS_AT = 19, 24, 28  # columns
_HEAD, _COUNTS, _TOP = 1, 18, 20  # rows: of titles, of numbers of members, and where pieces, lines, members begin
MOST_MEMBERS, MOST_POINTS = 14, 60
_ENDS = 100  # the row below which it stands where each member of a list ends in its text
_LONGEST_ADDRESS = 2048  # support.microsoft.com, WEBSERVICE: longer addresses fail
_NEAR = 1900
_LONGEST_TEXT = 240  # of a text in a formula, in all programs: from memory, 255
_LONGEST_CELL = 32_767  # ECMA-376, part 1, 18.18.93 (from memory): characters of a cell
_LINE, _KEY = "CHAR(10)", "key"
# What the service's own words begin with where it can't answer (errors=text).
_WORDS = ("wrong ", "busy: ", "unfinished: ", "too many requests: ", "key: ", "failed: ", "refused: ")
NOT_RUNNING = "No answer from the service at this address: is it running?"
_NO_FUNCTION = "This program can't fetch: it has no function WEBSERVICE."
NOT_ALLOWED = "Nothing fetched yet: let this file update links, then change the number beside 'To ask again'."
_NOT_OURS = "What came from this address is not an answer of this service, or it was cut."


@dataclass(frozen=True)
class FieldGroup:
    """Fields that are asked for together.

    Attributes:
        listed: their paths, as the service takes a list of them.
        paths: the same, one by one, in the same order.
        wanted: the formula of whether they are wanted; None: always.
        on: whether they are in a fresh workbook.
    """

    listed: str
    paths: Sequence[str]
    wanted: str | None = None
    on: bool = True


class TripQuery:
    """The workings while they are put on a tab."""

    def __init__(self, sheet: WorkbookSheet) -> None:
        self.sheet = sheet
        self.pieces = 0
        self.lines: dict[str, str] = {}
        self.grids: dict[str, int] = {}
        self.said: list[tuple[str, str, str | None]] = []
        for place, text in enumerate(("name", "as it stands", "as it is sent", "error"), start=PIECES_AT):
            sheet.put(_TOP - 1, place, text, "head")
        sheet.put(_HEAD, PIECES_AT, "Workings of this tab, not printed. Nothing to fill in here.", "note", span=4)

    def named(self, row: int, label: str, content: str | float | None) -> str:
        """Put a figure of the workings at a row of their top, and return its address."""
        self.sheet.put(row, PIECES_AT, label, "workings")
        return f"${self.sheet.put(row, PIECES_AT + 1, content, 'workings').replace('T', 'T$')}"

    def add_piece(
        self, name: str, at: str, *, label: str, beside: str | None = None, truth: bool = False, wanted: str = ""
    ) -> str:
        """Add the piece of the query that an input makes, and return the address of how it stands.

        Args:
            name: the column of a trip.
            at: the address of the input.
            label: what it is called where it holds an error.
            beside: the address of an input without which it says nothing.
            truth: whether it says yes or no.
            wanted: a condition under which it is sent.
        """
        row = _TOP + self.pieces
        self.pieces += 1
        self.said.append((name, at, beside))
        held = f'IF(ISNUMBER({at}),SUBSTITUTE({at},{self.point},"."),{at})'
        if truth:
            held = f'IF(ISLOGICAL({at}),IF({at},"yes","no"),{held})'
        conditions = [f'{at}=""', *([f'{beside}=""'] if beside else []), *([f"NOT({wanted})"] if wanted else [])]
        absent = conditions[0] if len(conditions) == 1 else f"OR({','.join(conditions)})"
        put = self.sheet.put
        put(row, PIECES_AT, name, "workings")
        errors = f"ISERROR({at})" if beside is None else f"OR(ISERROR({at}),ISERROR({beside}))"
        said = put(row, PIECES_AT + 1, f'=IF({errors},"",IF({absent},"","{name}="&{held}))', "workings")
        sent = f'"&{name}="&ENCODEURL(MID({said},{len(name) + 2},9999))'
        put(row, PIECES_AT + 2, f'=IF({said}="","",{sent})', "workings")
        put(row, PIECES_AT + 3, f'=IF(ISERROR({at}),"{label} ({at}); ","")', "workings")
        return said

    @property
    def point(self) -> str:
        """The cell of the decimal sign of the program, which a number that is joined to a text has."""
        return f"${letters(PIECES_AT + 1)}$2"

    def ask(self, address: str, again: str, groups: Sequence[FieldGroup], stored: tuple[str, str, str]) -> None:
        """Add the address, what came, what is shown of it, and its lines.

        Args:
            address: the cell of the service's address.
            again: the cell whose change asks again.
            groups: the fields.
            stored: time, trip and text of a result that the file brings.
        """
        self.named(2, "decimal sign here", "=MID(1/2,2,1)")
        self.sheet.put(4, LINES_AT + 1, f"={'&'.join(self._listed(groups))}", "workings")
        self.sheet.put(4, LINES_AT, "fields in metric units", "workings")
        self.named(3, "fields", f"={us_fields_formula(f'${letters(LINES_AT + 1)}$4')}")
        self.named(4, "trip", f'={self._joined(1, between=" ")}&" fields="&$T$3')
        root = f'IF(RIGHT({address},1)="/",LEFT({address},LEN({address})-1),{address})'
        root = f'IF(ISERROR({address}),"",{root})'
        self.named(15, "service", f"={root}")
        told = f'"/v1/sheet/values?errors=text&uncovered=figures"&IF({UNITS_AT}="us","&units=us&inputs=us","")'
        self.named(5, "asked", f'={self.root}&{told}&"&fields="&$T$3&$T$16&$T$17')
        self.named(16, "sent", f"={self._joined(2)}")
        self.named(17, "sent too", f'=IF(ISERROR({again}),"","&_="&{again})')
        self._add_tab_name()
        self.named(6, "inputs with errors", f"={self._joined(3)}")
        self.sheet.fixed_rows |= {7, 11, 13}  # an answer has a line for each field; its row is the page's too
        self.named(7, "came", f'=IF(OR($T$6<>"",LEN($T$5)>{_LONGEST_ADDRESS}),"",WEBSERVICE($T$5))')
        self.named(8, "whole", f'=IF(ISERROR($T$7),0,IF(RIGHT($T$7,4)={_LINE}&"end",1,0))')
        self.named(9, "stored at", stored[0])
        self.named(10, "stored trip", stored[1])
        self.named(11, "stored text", stored[2] if len(stored[2]) <= _LONGEST_CELL else "")
        self.named(12, "stored is shown", '=IF($T$8=1,0,IF($T$11="",0,IF(EXACT($T$10,$T$4),1,0)))')
        self.named(13, "shown", '=IF($T$8=1,$T$7,IF($T$12=1,$T$11,""))')
        self.named(14, "why nothing new is shown", f"={self._cause()}")
        self._add_lines(groups)

    answered, cause, stored_at, is_stored, stored_text = "$T$13", "$T$14", "$T$9", "$T$12", "$T$11"
    root, query = "$T$15", "$T$16"

    tab, elsewhere = (f"${letters(LINES_AT + 1)}${row}" for row in (2, 3))

    def tell_elsewhere(self, at: str) -> None:
        """Tell whether a formula reads another file, as on a tab that was copied out of its own."""
        signs = "+".join(f'ISNUMBER(FIND("{sign}",FORMULATEXT({at})))' for sign in ("]", "#$"))
        self.sheet.put(3, LINES_AT, "reads tools of another file", "workings")
        self.sheet.put(3, LINES_AT + 1, f"=IFERROR({signs},0)", "workings")

    def _add_tab_name(self) -> None:
        """Add the name of the tab: a chart that is copied along may still draw the tab that it was made for."""
        told = 'CELL("filename",$A$1)'  # of the form 'file:///...'#$Trip, or [...]Trip
        name = f'IFERROR(MID({told},FIND("#$",{told})+2,99),IFERROR(MID({told},FIND("]",{told})+1,99),"?"))'
        self.sheet.put(2, LINES_AT, "name of this tab", "workings")
        self.sheet.put(2, LINES_AT + 1, f"={name}", "workings")

    def _listed(self, groups: Sequence[FieldGroup]) -> list[str]:
        """Return the texts of the fields to ask for, none longer than a text in a formula may be."""
        found = []
        for group in groups:
            texts = [group.listed[at : at + _LONGEST_TEXT] for at in range(0, len(group.listed), _LONGEST_TEXT)]
            joined = "&".join(f'"{text}"' for text in texts)
            found.append(joined if group.wanted is None else f'IF({group.wanted},","&{joined},"")')
        return found

    def _joined(self, column: int, *, between: str = "") -> str:
        """Return the formula of a column of all pieces, joined."""
        at, sign = letters(PIECES_AT + column), f'&"{between}"&' if between else "&"
        rows = [row for row, (name, *_) in enumerate(self.said, start=_TOP) if not between or name != _KEY]
        return sign.join(f"{at}{row}" for row in rows)

    def trip_text(self, groups: Sequence[FieldGroup], beyond: Mapping[str, Content]) -> str:
        """Return what the cell of the trip comes to with the inputs as they are filled now; no key is in it.

        Args:
            groups: the fields.
            beyond: what cells of other sheets come to.
        """
        held = dict(beyond) | {
            f"{letters(column)}{row}": cell.content for (row, column), cell in self.sheet.cells.items()
        }
        pieces = []
        for name, at, beside in self.said:
            if name == _KEY:
                continue
            value = held.get(at)
            missing = value is None or (beside is not None and held.get(beside.replace("$", "")) is None)
            pieces.append("" if missing else f"{name}={value if isinstance(value, str) else f'{value:.15g}'}")
        listed = ",".join(group.listed for group in groups if group.on)
        listed = us_fields(listed) if held.get(UNITS_AT.replace("$", "")) == "us" else listed
        return f"{' '.join(pieces)} fields={listed}"

    @staticmethod
    def _cause() -> str:
        """Return the formula of why there is no whole answer; empty where there is one."""
        words = ",".join(f'LEFT($T$7,{len(word)})="{word}"' for word in _WORDS)
        kind = "IFERROR(ERROR.TYPE($T$7),0)"
        failed = f'IF({kind}=3,"{NOT_RUNNING}",IF({kind}=5,"{_NO_FUNCTION}","{NOT_ALLOWED}"))'
        long = f'"The address has "&LEN($T$5)&" characters, and programs take {_LONGEST_ADDRESS}: say less."'
        return (
            f'IF($T$8=1,"",IF($T$6<>"","Not asked: an input holds an error: "&$T$6,'
            f"IF(LEN($T$5)>{_LONGEST_ADDRESS},{long},"
            f'IF(ISERROR($T$7),{failed},IF(OR({words}),$T$7,"{_NOT_OURS}")))))'
        )

    def near(self) -> str:
        """Return the formula of how long the address is, with a warning near its end."""
        most = f'" of {_LONGEST_ADDRESS:,} characters"'
        return f'="address: "&LEN($T$5)&{most}&IF(LEN($T$5)>{_NEAR},": say no more, or own tools less","")'

    def _add_lines(self, groups: Sequence[FieldGroup]) -> None:
        """Add the lines of the answer, each from the line end before it to its own."""
        put, row = self.sheet.put, _TOP - 1
        for place, text in enumerate(("field", "ends at", "text"), start=LINES_AT):
            put(row, place, text, "head")
        ends, texts = letters(LINES_AT + 1), letters(LINES_AT + 2)
        for group in groups:
            for path in group.paths:
                row += 1
                before = "0" if row == _TOP else f"{ends}{row - 1}"
                found = f"IFERROR(FIND({_LINE},{self.answered},{before}+1),{before})"
                text = f'IF({ends}{row}={before},"",MID({self.answered},{before}+1,{ends}{row}-{before}-1))'
                put(row, LINES_AT, path, "workings")
                put(row, LINES_AT + 1, f"={found if group.wanted is None else f'IF({group.wanted},{found},{before})'}")
                put(row, LINES_AT + 2, f"={text}", "workings")
                self.lines[path] = f"${texts}${row}"
        for path in (path for group in groups for path in group.paths if "*" in path):
            self._add_grid(path)

    def _add_grid(self, path: str) -> None:
        """Add the members of a list, one below the other."""
        column = GRIDS_AT + len(self.grids)
        self.grids[path] = column
        self.sheet.put(_TOP - 1, column, path, "head")
        text = self.lines[path]
        counted = f'=IF({text}="",0,LEN({text})-LEN(SUBSTITUTE({text},"|",""))+1)'
        number_at = self.sheet.put(_COUNTS, column, counted, "workings")
        most = MOST_POINTS if path.startswith(("front.points.", "sure.curve.")) else MOST_MEMBERS
        for number in range(1, most + 1):
            # Most lists are short: where there is no such member, its cells only look at the number of members.
            ends = f"{letters(column)}{_ENDS + number}"
            before = f"{letters(column)}{_ENDS + number - 1}" if number > 1 else "0"
            end = f'IF({number_at}={number},LEN({text})+1,FIND("|",{text},{before}+1))'
            self.sheet.put(_ENDS + number, column, f'=IF({number_at}<{number},"",{end})', "workings")
            member = f'=IF({number_at}<{number},"",MID({text},{before}+1,{ends}-{before}-1))'
            self.sheet.put(_TOP - 1 + number, column, member, "workings")

    def count(self, path: str) -> str:
        """Return the address of how many members a list has."""
        return f"{letters(self.grids[path])}{_COUNTS}"

    def member(self, path: str, number: int) -> str:
        """Return the address of a member of a list."""
        return f"{letters(self.grids[path])}{_TOP - 1 + number}"

    def points_rows(self) -> tuple[int, int]:
        """Return the first and last row of members that go to 60."""
        return _TOP, _TOP + MOST_POINTS - 1

    @property
    def next_column(self) -> int:
        """The first column that is free beyond the members."""
        return GRIDS_AT + len(self.grids) + 1
