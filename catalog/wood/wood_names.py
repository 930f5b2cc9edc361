"""Names of woods that the table does not have: the group that a name means, or the wood nearest to it."""

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache

from catalog.tables.table import read_rows
from catalog.wood.species import woods

_NEAR = 3  # judged: as many hints as a sentence bears
_SHORTEST = 3  # derived: letters of the shortest groups, ash, elm and fir


@cache
def _wood_neighbours() -> Mapping[str, str]:
    """Return other names of woods, each with the id of the wood nearest in density and hardness (judged)."""
    return {name: row["wood"] for row in read_rows("wood/wood_names.csv") for name in row["name"].split("|")}


def near_woods(name: str) -> tuple[list[str], str]:
    """Return the ids that a name of a wood may mean, and in words what they are to it.

    A name that other lands have for a wood gives the wood nearest to it; else a name of a group (`oak`) gives all of
    the group, a name with such a last word (`bog oak`) too, and one with a slip what it looks like.

    Args:
        name: what was asked for; no id of the table.
    """
    word = "-".join(name.casefold().replace("_", " ").replace("-", " ").split())
    if word in woods():
        return [word], "similar ids"
    if word in _wood_neighbours():
        return [_wood_neighbours()[word]], "nearest in density and hardness (judged)"
    for part in dict.fromkeys((word, word.rpartition("-")[2])):
        group = [one for one in woods() if one.startswith(f"{part}-")] or _of_group(part.removesuffix("s"))
        if group:
            return group, "the table has"
    near = get_close_matches(word, [*woods(), *_wood_neighbours()], n=_NEAR)
    return list(dict.fromkeys(_wood_neighbours().get(one, one) for one in near)), "similar ids"


def _of_group(word: str) -> list[str]:
    """Return the woods of a group, `redcedar` among the cedars."""
    if len(word) < _SHORTEST:
        return []
    return [one for one in woods() if any(part.removeprefix("red") == word for part in one.split("-"))]
