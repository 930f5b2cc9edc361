"""Lists of fields: paths separated by commas, those in brackets with what stands before them."""

import re

from solver import Fault, TripError

FIELDS = "fields"  # the parameter
MOST_VALUES = 100
LONGEST_LIST = 2000  # characters
_DEEPEST = 5
_PART = re.compile(r"[^,|()]+|[,|()]")


def paths_of(text: str) -> list[str]:
    """Return the paths in a list of fields, those in brackets with what stands before them.

    Raises:
        TripError: no field, too many, or brackets that do not match.
    """
    if len(text) > LONGEST_LIST:
        raise refused_list(text[:80], f"at most {LONGEST_LIST} characters", f"the list has {len(text)} characters")
    found: list[str] = []
    above, last, closed = [""], "", False
    for part in _PART.findall(text):
        if part == "(" and last and len(above) <= _DEEPEST:
            above.append(f"{above[-1]}{last}.")
            last = ""
        elif part in ",|)":
            found += [f"{above[-1]}{last}"] if last else []
            last = ""
            if part == ")":
                above.pop()
        elif closed and part.strip():
            last = "("
        else:
            last = part.strip()
        closed = part == ")" or (closed and not part.strip())
        if not above or last == "(":
            break
    if len(above) != 1 or last == "(":
        raise refused_list(
            text, "fields, separated by commas", "brackets do not match, or lack what stands before them"
        )
    found += [last] if last else []
    if not 1 <= len(found) <= MOST_VALUES:
        raise refused_list(len(found), f"1 to {MOST_VALUES}", f"{len(found)} fields; name 1 to {MOST_VALUES}")
    return found


def refused_list(value: object, allowed: str, detail: str) -> TripError:
    """Return the refusal of a list of fields."""
    return TripError([Fault(f"#/{FIELDS}", value, allowed, detail)])
